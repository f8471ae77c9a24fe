"""The drawing of a conveyor's loop with all that belongs on it."""

from dataclasses import dataclass
from typing import Any

from django.db.models import prefetch_related_objects
from django.urls import reverse

from plant.models import Conveyor
from plant.selectors import loops
from plant.selectors.drawing import loop_drawing


@dataclass(frozen=True)
class DrawingSheet:
    state: loops.RegisterState
    drawing: dict[str, Any]


def drawing_sheet(conveyor: Conveyor) -> DrawingSheet:
    """Three queries: components, the fitted belt, its splices."""
    prefetch_related_objects([conveyor], "components")
    belt = loops.fitted_belt(conveyor)
    rows = list(conveyor.components.all())
    state = loops.state_of_rows(conveyor, rows, belt)
    if state.loop is None:
        drawing = {"conveyor": conveyor, "figures": (), "missing": state.missing}
        return DrawingSheet(state, drawing)
    keys = {row.name: row.pk for row in rows}
    where = (conveyor.plant.code, conveyor.tag)

    def href(name: str) -> str:
        return reverse("component", args=[*where, keys[name]]) if name in keys else ""

    return DrawingSheet(state, loop_drawing(conveyor, loop=state.loop, part_href=href))
