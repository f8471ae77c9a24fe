"""Address of the What if page."""

from django.urls import path

from diagnostics.views import what_if

urlpatterns = [
    path("conveyors/<str:plant_code>/<str:tag>/what-if/", what_if.what_if, name="what-if"),
]
