"""Where on the loop the cases of a belt were: places that count, with the cases behind each."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.belt_trend.parts import BuiltPart
from diagnostics.belt_trend.words import nothing_words
from diagnostics.recurrence.event_places import EventPlace, PlacedEvent, places_of
from diagnostics.selectors.belt_faults import BeltFault, BeltStudy
from plant.chart_view import Cell
from plant.loop.drawing.shapes import Mark, MarkKind
from plant.loop.parts import GeometryError
from plant.loop.path import Loop
from plant.selectors.drawing import loop_drawing
from plant.selectors.loops import loop_of

# More pins than these hide each other; the table has all places.
_PINS = 16
# So many cases of a place are named beside it; all of them stand in the file.
_NAMED = 6


@dataclass(frozen=True)
class FaultPlace:
    """A place on the loop as the page names it; `number` is its row."""

    number: int
    place: EventPlace
    zone: str
    faults: Sequence[BeltFault]

    @property
    def at_m(self) -> float:
        return self.place.position_m

    @property
    def named(self) -> Sequence[BeltFault]:
        """The newest cases of the place."""
        return self.faults[-1 : -_NAMED - 1 : -1]

    @property
    def not_named(self) -> int:
        return max(0, len(self.faults) - _NAMED)

    @property
    def anchor(self) -> str:
        return f"place-{self.number}"


def build(study: BeltStudy) -> BuiltPart:
    """One query for the components of the loop."""
    loop, missing = _loop(study)
    found = _places(study, loop)
    heading = _("Where on the loop")
    placed = sum(len(one.faults) for one in found)
    if not study.faults:
        return BuiltPart(heading, header=_header(), missing=nothing_words())
    return BuiltPart(
        heading,
        header=_header(),
        rows=[list(_row(one)) for one in found],
        template="diagnostics/belt_trend/where.html",
        context={
            "drawing": _drawing(study, loop, missing, found),
            "places": _largest_first(found),
            "placed": placed,
            "same_place_m": study.conveyor.plant.recurrence_distance_m,
            "not_placed": len(study.faults) - placed,
            "file_address": study.file_address("places"),
            "not_drawn": max(0, len(found) - _PINS),
        },
    )


def _loop(study: BeltStudy) -> tuple[Loop | None, str]:
    try:
        return loop_of(study.conveyor), ""
    except GeometryError as refusal:
        return None, str(refusal)


def _places(study: BeltStudy, loop: Loop | None) -> list[FaultPlace]:
    by_key = {fault.pk: fault for fault in study.faults}
    events = [
        PlacedEvent(fault.pk, fault.position_m, fault.is_repeat)
        for fault in study.faults
        if fault.position_m is not None
    ]
    found = places_of(
        events,
        same_place_m=study.conveyor.plant.recurrence_distance_m,
        loop_length_m=loop.length_m if loop else None,
    )
    return [_fault_place(number, place, by_key) for number, place in enumerate(found, 1)]


def _fault_place(number: int, place: EventPlace, by_key: dict[int, BeltFault]) -> FaultPlace:
    faults = sorted((by_key[event.key] for event in place.events), key=lambda one: one.opened_at)
    zones = [fault.zone for fault in faults if fault.zone]
    return FaultPlace(number, place, zones[-1] if zones else "", faults)


def _largest_first(found: Sequence[FaultPlace]) -> list[FaultPlace]:
    return sorted(found, key=lambda one: (-len(one.faults), -one.place.repeats, one.at_m))


def _drawing(
    study: BeltStudy, loop: Loop | None, missing: str, found: Sequence[FaultPlace]
) -> dict[str, Any]:
    if loop is None:
        return {"conveyor": study.conveyor, "figures": (), "missing": missing}
    return loop_drawing(
        study.conveyor,
        marks=[_mark(one) for one in _largest_first(found)[:_PINS]],
        loop=loop,
    )


def _mark(one: FaultPlace) -> Mark:
    """A place of one case leads to the case, one of several to its row."""
    kind = MarkKind.CAME_BACK if one.place.repeats else MarkKind.HAPPENED
    href = one.faults[0].address if len(one.faults) == 1 else f"#{one.anchor}"
    return Mark(one.at_m, kind, at_words(one), href, len(one.faults), says_of(one))


def at_words(one: FaultPlace) -> str:
    return f"{number_format(one.at_m, 0)} m"


def says_of(one: FaultPlace) -> str:
    """`3 cases at 118 m, 1 of them a repeat`."""
    cases = len(one.faults)
    told = ngettext("%(cases)s case at %(at)s", "%(cases)s cases at %(at)s", cases)
    words = told % {"cases": cases, "at": at_words(one)}
    if not one.place.repeats:
        return words
    again = ngettext(
        "%(words)s, %(repeats)s of them a repeat",
        "%(words)s, %(repeats)s of them repeats",
        one.place.repeats,
    )
    return again % {"words": words, "repeats": one.place.repeats}


def _header() -> list[str]:
    return [_("loop position (m)"), _("zone"), _("cases"), _("repeats"), _("which")]


def _row(one: FaultPlace) -> Iterator[Cell]:
    yield round(one.at_m, 1)
    yield _(one.zone) if one.zone else ""
    yield len(one.faults)
    yield one.place.repeats
    yield " ".join(fault.number for fault in one.faults)
