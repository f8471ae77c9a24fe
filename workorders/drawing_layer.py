"""What work lays over the drawing of a conveyor's loop: open orders at their places."""

from datetime import datetime

from django.http import HttpRequest
from django.urls import reverse

from plant import access
from plant.drawing_layers import Layer
from plant.loop.drawing.shapes import Mark, MarkKind
from plant.models import Conveyor
from workorders.models import WorkOrder

_ORDERS = 12


def on_drawing(request: HttpRequest, conveyor: Conveyor, _now: datetime) -> Layer:
    """One query; work on the belt itself has no place on the loop."""
    orders = (
        access.visible(WorkOrder.objects.open(), request.user)
        .filter(conveyor=conveyor, position_m__isnull=False)
        .order_by("pk")[:_ORDERS]
    )
    return Layer(
        tuple(
            Mark(one.position_m, MarkKind.WORK, one.number, reverse("order", args=[one.number]))
            for one in orders
            if one.position_m is not None
        )
    )
