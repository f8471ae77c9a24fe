"""Addresses of trials of a draft."""

from django.urls import path

from diagnostics.views import trials

_ONE = "knowledge/trials/<int:pk>"

urlpatterns = [
    path("knowledge/editions/<int:pk>/try/", trials.edition_try, name="edition-try"),
    path(f"{_ONE}/", trials.trial, name="trial"),
    path(f"{_ONE}/progress/", trials.trial_progress, name="trial-progress"),
    path(f"{_ONE}/stop/", trials.trial_stop, name="trial-stop"),
    path(f"{_ONE}/cases.csv", trials.trial_file, name="trial-file"),
]
