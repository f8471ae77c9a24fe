"""Addresses of idler groups, of single sets and of the rolls that were changed in them."""

from django.urls import path

from plant.views import idler_sets, rolls

of_idlers = [
    path("<int:pk>/", idler_sets.idler_group, name="idler-group"),
    path("<int:pk>/rolls/new/", rolls.roll_change_new, name="roll-change-new"),
    path("<int:pk>/<int:set_number>/", idler_sets.idler_set, name="idler-set"),
    path("set/<str:name>/", idler_sets.idler_set_called, name="idler-set-called"),
]
urlpatterns = [
    path("", rolls.roll_changes, name="roll-changes"),
    path("<int:pk>/take-back/", rolls.roll_change_take_back, name="roll-change-take-back"),
    path("<int:pk>/put-back/", rolls.roll_change_put_back, name="roll-change-put-back"),
]
