"""Addresses of condition and life: wear, limits, what lives say, what is due."""

from django.urls import path

from workorders.views import limits, wear

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
    path("work/limits/<str:plant_code>/", limits.limits, name="limits"),
    path("work/limits/<str:plant_code>/set/", limits.limit_set, name="limit-set"),
    path(
        "work/limits/<str:plant_code>/<int:pk>/take-back/",
        limits.limit_take_back,
        name="limit-take-back",
    ),
]
