"""Addresses of a conveyor's idler sets, under its own."""

from django.urls import path

from plant import roll_urls
from plant.idler_forms import PutInForm, RenumberForm, ShiftForm, TakeOutForm
from plant.views import idlers

urlpatterns = [
    path("", idlers.idlers, name="idlers"),
    path("new/", idlers.idlers_new, name="idlers-new"),
    path("take-out/", idlers.idlers_change, {"form_class": TakeOutForm}, "idlers-take-out"),
    path("put-in/", idlers.idlers_change, {"form_class": PutInForm}, "idlers-put-in"),
    path("shift/", idlers.idlers_change, {"form_class": ShiftForm}, "idlers-shift"),
    path("renumber/", idlers.idlers_change, {"form_class": RenumberForm}, "idlers-renumber"),
    *roll_urls.of_idlers,
]
