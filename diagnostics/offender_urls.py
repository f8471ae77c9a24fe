"""Addresses of the list of repeat offenders."""

from django.urls import path

from diagnostics.views import offenders

_ONE = "trends/belts/reckoning/<int:pk>"

urlpatterns = [
    path("trends/belts/", offenders.offenders, name="repeat-offenders"),
    path("trends/belts/list.csv", offenders.offenders_file, name="repeat-offenders-file"),
    path(f"{_ONE}/", offenders.reckoning_progress, name="repeat-offenders-progress"),
    path(f"{_ONE}/again/", offenders.reckon_again, name="repeat-offenders-again"),
    path(f"{_ONE}/stop/", offenders.reckoning_stop, name="repeat-offenders-stop"),
]
