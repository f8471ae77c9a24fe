"""Addresses of a conveyor's meter readings, under its own."""

from django.urls import path

from plant.selectors.change_words import METER
from plant.views import history, meters

urlpatterns = [
    path("", meters.meters, name="meters"),
    path("history/", history.readings_history, {"kind": METER}, "meter-history"),
    path("new/", meters.meter_reading_new, name="meter-reading-new"),
    path("<int:pk>/remove/", meters.meter_reading_remove, name="meter-reading-remove"),
]
