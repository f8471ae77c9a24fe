"""All the register knows of one conveyor, for its page."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Q, prefetch_related_objects

from plant.drawing_layers import NO_LAYER, Layer, together
from plant.loop.path import belt_revolution_time_s
from plant.models import Belt, BeltMark, Component, Conveyor, Splice
from plant.selectors import loops
from plant.selectors.drawing import loop_drawing
from plant.selectors.drawing_sheet import component_addresses, replaced_marks

_ROWS = 40


@dataclass(frozen=True)
class ConveyorSheet:
    state: loops.RegisterState
    drawing: dict[str, Any]
    says: str
    parts: Page[Component]
    belt: Belt | None
    splices: list[Splice]
    marks: list[BeltMark]
    former_belts: list[Belt]
    revolution_s: float | None


@dataclass(frozen=True)
class RegisterRows:
    """What the register holds of one conveyor, now or at another time."""

    components: list[Component]
    belts: list[Belt]
    # By the key of their belt.
    splices: Mapping[int, list[Splice]]
    marks: Mapping[int, list[BeltMark]]


def conveyor_sheet(
    conveyor: Conveyor,
    parts_page: str | None,
    layer: Layer,
    now: datetime,
    kinds: Collection[str] = (),
) -> ConveyorSheet:
    """Four queries: components, belts, splices, marks; the table holds only these kinds of
    component where any are named.
    """
    prefetch_related_objects([conveyor], "components")
    belts = list(conveyor.belts.prefetch_related("splices", "marks"))
    rows = RegisterRows(
        components=list(conveyor.components.all()),
        belts=belts,
        splices={belt.pk: list(belt.splices.all()) for belt in belts},
        marks={belt.pk: list(belt.marks.all()) for belt in belts},
    )
    hrefs = component_addresses(conveyor, rows.components)
    lately = Layer(replaced_marks(rows.components, conveyor.plant.day_of(now), hrefs))
    return sheet_of_rows(conveyor, rows, parts_page, layer=together((layer, lately)), kinds=kinds)


def sheet_of_rows(
    conveyor: Conveyor,
    rows: RegisterRows,
    parts_page: str | None,
    *,
    keep: str = "",
    layer: Layer = NO_LAYER,
    kinds: Collection[str] = (),
) -> ConveyorSheet:
    """The sheet of these rows, no query; `keep` is what the addresses of its pages carry on."""
    belt = next((one for one in rows.belts if one.removed_on is None), None)
    state = loops.state_of_rows(conveyor, rows.components, belt)
    return ConveyorSheet(
        state=state,
        drawing=_drawing(conveyor, state, rows.components, keep, layer),
        says=layer.says,
        parts=Paginator(
            [one for one in rows.components if not kinds or one.kind in kinds], _ROWS
        ).get_page(parts_page),
        belt=belt,
        splices=rows.splices.get(belt.pk, []) if belt else [],
        marks=rows.marks.get(belt.pk, []) if belt else [],
        former_belts=[one for one in rows.belts if one is not belt],
        revolution_s=_revolution_s(conveyor, state, belt),
    )


def _drawing(
    conveyor: Conveyor,
    state: loops.RegisterState,
    components: list[Component],
    keep: str,
    layer: Layer,
) -> dict[str, Any]:
    if state.loop is None:
        return {"conveyor": conveyor, "figures": (), "missing": state.missing}
    return loop_drawing(
        conveyor,
        layer.ribbon,
        layer.marks,
        loop=state.loop,
        part_href=_row_addresses(components, keep),
    )


def _row_addresses(components: list[Component], keep: str) -> Callable[[str], str]:
    """From a component's name to its row in the table, which may stand on a later page."""
    addresses = {
        component.name: _row_address(place, component, keep)
        for place, component in enumerate(components)
    }
    return lambda name: addresses.get(name, "")


def row_address(component: Component) -> str:
    """From the sheet of its conveyor to the component's row; one query."""
    first_m, name = component.first_m, component.name
    before = Q(first_m__lt=first_m) | Q(first_m=first_m, name__lt=name)
    place = Component.objects.filter(before, conveyor_id=component.conveyor_id).count()
    return _row_address(place, component)


def _row_address(place: int, component: Component, keep: str = "") -> str:
    return f"?{keep}parts={place // _ROWS + 1}#part-{component.pk}"


def _revolution_s(
    conveyor: Conveyor, state: loops.RegisterState, belt: Belt | None
) -> float | None:
    length_m = belt.length_m if belt else (state.loop.length_m if state.loop else None)
    return belt_revolution_time_s(length_m, conveyor.speed_mps) if length_m else None
