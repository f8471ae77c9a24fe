"""Addresses of a conveyor's meter readings, under its own."""

from django.urls import path

from plant.views import meters

urlpatterns = [
    path("", meters.meters, name="meters"),
    path("new/", meters.meter_reading_new, name="meter-reading-new"),
    path("<int:pk>/remove/", meters.meter_reading_remove, name="meter-reading-remove"),
]
