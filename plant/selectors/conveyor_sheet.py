"""All the register knows of one conveyor, for its page."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import prefetch_related_objects

from plant.loop.path import belt_revolution_time_s
from plant.models import Belt, BeltMark, Component, Conveyor, Splice
from plant.selectors import loops
from plant.selectors.drawing import loop_drawing

_ROWS = 40


@dataclass(frozen=True)
class ConveyorSheet:
    state: loops.RegisterState
    drawing: dict[str, Any]
    parts: Page[Component]
    belt: Belt | None
    splices: list[Splice]
    marks: list[BeltMark]
    former_belts: list[Belt]
    revolution_s: float | None


def conveyor_sheet(conveyor: Conveyor, parts_page: str | None) -> ConveyorSheet:
    """Four queries: components, belts, splices, marks."""
    prefetch_related_objects([conveyor], "components")
    components = list(conveyor.components.all())
    belts = list(conveyor.belts.prefetch_related("splices", "marks"))
    belt = next((one for one in belts if one.removed_on is None), None)
    state = loops.register_state(conveyor, belt)
    return ConveyorSheet(
        state=state,
        drawing=_drawing(conveyor, state, components),
        parts=Paginator(components, _ROWS).get_page(parts_page),
        belt=belt,
        splices=list(belt.splices.all()) if belt else [],
        marks=list(belt.marks.all()) if belt else [],
        former_belts=[one for one in belts if one is not belt],
        revolution_s=_revolution_s(conveyor, state, belt),
    )


def _drawing(
    conveyor: Conveyor, state: loops.RegisterState, components: list[Component]
) -> dict[str, Any]:
    if state.loop is None:
        return {"conveyor": conveyor, "figures": (), "missing": state.missing}
    return loop_drawing(conveyor, loop=state.loop, part_href=_row_addresses(components))


def _row_addresses(components: list[Component]) -> Callable[[str], str]:
    """From a component's name to its row in the table, which may stand on a later page."""
    addresses = {
        component.name: f"?parts={place // _ROWS + 1}#part-{component.pk}"
        for place, component in enumerate(components)
    }
    return lambda name: addresses.get(name, "")


def _revolution_s(
    conveyor: Conveyor, state: loops.RegisterState, belt: Belt | None
) -> float | None:
    length_m = belt.length_m if belt else (state.loop.length_m if state.loop else None)
    return belt_revolution_time_s(length_m, conveyor.speed_mps) if length_m else None
