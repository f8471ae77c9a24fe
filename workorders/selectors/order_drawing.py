"""Where on the loop an order is to be done, as a drawing."""

from typing import Any

from django.utils.translation import gettext as _

from plant.selectors import drawing
from plant.selectors.drawing import Mark
from plant.selectors.printed_drawing import PRINTED_LAYOUT
from workorders.models import WorkOrder


def drawing_of(order: WorkOrder) -> dict[str, Any] | None:
    """None for work on the belt itself or without a place: there is no spot to show."""
    mark = _mark(order)
    if mark is None:
        return None
    return drawing.loop_drawing(order.conveyor, marks=(mark,), has_larger=True)


def printable_drawing_of(order: WorkOrder) -> dict[str, Any] | None:
    """The same, drawn only as paper needs it."""
    mark = _mark(order)
    if mark is None:
        return None
    return drawing.loop_drawing(order.conveyor, marks=(mark,), layout=PRINTED_LAYOUT)


def _mark(order: WorkOrder) -> Mark | None:
    if order.position_m is None:
        return None
    words = order.component or _("%(position)s m") % {"position": f"{order.position_m:.1f}"}
    return Mark(position_m=order.position_m, kind="work", label=words, href="")
