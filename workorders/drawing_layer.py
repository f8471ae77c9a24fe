"""What work lays over the drawing of a conveyor's loop: open orders at their places."""

from datetime import date, datetime, timedelta

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext as _

from plant import access
from plant.drawing_layers import Layer
from plant.loop.drawing.shapes import Mark, MarkKind
from plant.models import Conveyor
from workorders.models import WorkOrder

_ORDERS = 12
# What is to be done within so many days, or should have been, is due: as far as looks go back.
_SOON = timedelta(days=30)


def on_drawing(request: HttpRequest, conveyor: Conveyor, now: datetime) -> Layer:
    """One query; work on the belt itself has no place on the loop."""
    orders = (
        access.visible(WorkOrder.objects.open(), request.user)
        .filter(conveyor=conveyor, position_m__isnull=False)
        .order_by("pk")[:_ORDERS]
    )
    last_day = conveyor.plant.day_of(now) + _SOON
    return Layer(
        tuple(_mark(one, one.position_m, last_day) for one in orders if one.position_m is not None)
    )


def _mark(order: WorkOrder, position_m: float, last_day: date) -> Mark:
    href = reverse("order", args=[order.number])
    if order.due_on is None or order.due_on > last_day:
        return Mark(position_m, MarkKind.WORK, order.number, href)
    words = _("%(number)s, due %(day)s") % {
        "number": order.number,
        "day": order.due_on.isoformat(),
    }
    return Mark(position_m, MarkKind.DUE, words, href)
