"""Addresses of the register: conveyors and what they are made of."""

from django.urls import path

from plant.views import conveyors

urlpatterns = [
    path("conveyors/", conveyors.conveyors, name="conveyors"),
    path("conveyors/<str:plant_code>/<str:tag>/", conveyors.conveyor, name="conveyor"),
]
