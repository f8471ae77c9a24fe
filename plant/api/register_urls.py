"""Addresses of the register's rows under /api/v1/."""

from django.urls import path

from plant.api import register, register_details

urlpatterns = [
    path("conveyors", register.ConveyorList.as_view(), name="api-conveyors"),
    path("conveyors/changes", register.RegisterFeed.as_view(), name="api-conveyors-changes"),
    path("conveyors/<str:tag>", register.ConveyorOne.as_view(), name="api-conveyor"),
    path("conveyors/<str:tag>/components", register.ComponentList.as_view(), name="api-components"),
    path("conveyors/<str:tag>/belts", register.BeltList.as_view(), name="api-belts"),
    path("conveyors/<str:tag>/splices", register_details.SpliceList.as_view(), name="api-splices"),
    path("conveyors/<str:tag>/marks", register_details.MarkList.as_view(), name="api-marks"),
    path(
        "conveyors/<str:tag>/roll-changes",
        register_details.RollChangeList.as_view(),
        name="api-roll-changes",
    ),
    path(
        "conveyors/<str:tag>/components/<int:id>",
        register.ComponentOne.as_view(),
        name="api-component",
    ),
    path("conveyors/<str:tag>/belts/<int:id>", register.BeltOne.as_view(), name="api-belt"),
]
