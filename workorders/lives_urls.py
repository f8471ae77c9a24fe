"""Addresses of condition and life: wear, limits, what lives say, what is due."""

from django.urls import path

from workorders.views import due, limits, lives, wear

_CONVEYOR = "conveyors/<str:plant_code>/<str:tag>"

urlpatterns = [
    path(f"{_CONVEYOR}/wear/", wear.wear, name="wear"),
    path(f"{_CONVEYOR}/wear/<int:pk>/", wear.wear_spot, name="wear-spot"),
    path(f"{_CONVEYOR}/wear/<int:pk>/renewed/", wear.wear_spot_renewed, name="wear-spot-renewed"),
    path(
        f"{_CONVEYOR}/renewals/<int:pk>/take-back/",
        wear.renewal_take_back,
        name="renewal-take-back",
    ),
    path("work/due/", due.due, name="due"),
    path("work/due/list.csv", due.due_file, {"kind": "csv"}, name="due-csv"),
    path("work/due/list.xlsx", due.due_file, {"kind": "xlsx"}, name="due-xlsx"),
    path("work/due/orders/", due.due_raise, name="due-raise"),
    path("work/due/orders/<uuid:together>/", due.due_raised, name="due-raised"),
    path("work/due/orders/<uuid:together>/take-back/", due.due_take_back, name="due-take-back"),
    path("work/due/anew/", due.due_reckon, name="due-reckon"),
    path("work/lives/", lives.lives, name="lives"),
    path("work/lives/<str:plant_code>/<slug:subject>/", lives.life_of_plant, name="life-of-plant"),
    path("work/lives/<str:plant_code>/<slug:subject>/costs/", lives.life_costs, name="life-costs"),
    path(
        "work/lives/<str:plant_code>/<slug:subject>/costs/remove/",
        lives.life_costs_remove,
        name="life-costs-remove",
    ),
    path(f"{_CONVEYOR}/lives/", lives.lives_of_conveyor, name="lives-of-conveyor"),
    path(f"{_CONVEYOR}/lives/<slug:subject>/", lives.life_of_conveyor, name="life-of-conveyor"),
    path("work/limits/<str:plant_code>/", limits.limits, name="limits"),
    path("work/limits/<str:plant_code>/set/", limits.limit_set, name="limit-set"),
    path(
        "work/limits/<str:plant_code>/<int:pk>/take-back/",
        limits.limit_take_back,
        name="limit-take-back",
    ),
]
