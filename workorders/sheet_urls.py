"""Addresses of the outage sheet; those that begin with "order" ask for an order's number."""

from django.urls import path

from workorders.views import placing, sheet

urlpatterns = [
    path("work/sheet/", sheet.outage_sheet, name="outage-sheet"),
    path("work/sheet/undo/", sheet.outage_sheet_undo, name="outage-sheet-undo"),
    path("work/sheet/<order_number:number>/", placing.order_place, name="order-place"),
    path(
        "work/sheet/<order_number:number>/drawn/",
        placing.order_place_drawn,
        name="order-place-drawn",
    ),
    path(
        "work/sheet/<order_number:number>/weighed/",
        placing.order_place_weighed,
        name="order-place-weighed",
    ),
    path("work/sheet/<order_number:number>/off/", placing.order_take_off, name="order-take-off"),
    path("work/sheet/<order_number:number>/pin/", placing.order_pin, name="order-pin"),
]
