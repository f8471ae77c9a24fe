"""The What if page: what can be asked on a conveyor, and a picture as drawings and a table."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from diagnostics.class_words import class_words
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.vocabulary import LoadState
from diagnostics.inference.what_if.answer import Shown
from diagnostics.inference.what_if.causes_asked import names_on
from diagnostics.inference.what_if.picture import Picture, SeenAt
from diagnostics.models import Case, Sighting
from diagnostics.selectors.evidence import standing_sightings
from diagnostics.selectors.loop_ribbon import ribbon, seen_words
from plant.loop.parts import Station
from plant.loop.vocabulary import ComponentKind, Run, Side
from plant.loop.walking import in_walking_order
from plant.models import Conveyor
from plant.selectors.drawing import Curve, Mark, MarkKind, RibbonPoint, loop_drawing
from plant.templatetags.sheet import offset_words, side_words

# Points of a drawn line; more would lie within a pixel of each other.
_MOST_POINTS = 400
_CASES_OFFERED = 20


@dataclass(frozen=True)
class StatePage:
    """One load state: its drawing and its figures; `looks` counts the dots drawn beside it."""

    picture: Picture
    drawing: dict[str, Any]
    looks: int


@dataclass(frozen=True)
class Row:
    """A station with what would be seen there, and what was, by load state."""

    station: Station
    computed: list[SeenAt]
    seen: list[str]


@dataclass(frozen=True)
class WhatIfPage:
    shown: Shown
    states: list[StatePage]
    rows: list[Row]
    case: Case | None


def causes_on(
    conveyor: ConveyorFacts, knowledge: Knowledge
) -> list[tuple[str, list[tuple[str, str]]]]:
    """Causes that can be drawn on this conveyor, grouped for a choice."""
    groups: dict[str, list[tuple[str, str]]] = {}
    for cause in knowledge.causes.values():
        if names_on(cause, conveyor):
            words = str(class_words(cause.cause_class))
            groups.setdefault(words, []).append((cause.slug, cause.name))
    return list(groups.items())


def sides_of(conveyor: Conveyor) -> list[tuple[str, str]]:
    return [(side.value, side_words(side.value, conveyor)) for side in (Side.RIGHT, Side.LEFT)]


def latest_cases(cases: QuerySet[Case]) -> list[tuple[str, str]]:
    """Cases with looks, the latest first, for a choice."""
    seen = cases.filter(walk_downs__sightings__isnull=False).distinct()
    return [
        (one.number, f"{one.number} {one.summary[:60]}")
        for one in seen.order_by("-opened_at")[:_CASES_OFFERED]
    ]


def what_if_page(conveyor: Conveyor, shown: Shown, case: Case | None) -> WhatIfPage:
    """`case` is one of the conveyor; its standing looks are laid beside the computed line."""
    looks = [] if case is None else _forward(standing_sightings(case))
    by_load = {
        one.load: [look for look in looks if look.load == one.load.value] for one in shown.pictures
    }
    states = [
        StatePage(one, _drawing(conveyor, shown, one, by_load[one.load]), len(by_load[one.load]))
        for one in shown.pictures
    ]
    return WhatIfPage(shown, states, _rows(conveyor, shown, by_load), case)


def _forward(looks: Sequence[Sighting]) -> list[Sighting]:
    return [one for one in looks if not one.is_running_backwards]


def _drawing(
    conveyor: Conveyor, shown: Shown, picture: Picture, looks: Sequence[Sighting]
) -> dict[str, Any]:
    asked = shown.asked
    curves = [_curve(conveyor, picture, picture.offset_mm)]
    if picture.passing_mm is not None:
        cut = np.clip(picture.passing_mm, -picture.clearance_mm, picture.clearance_mm)
        curves.append(_curve(conveyor, picture, cut, is_filled=False))
    words = asked.standing.component or (_("the defect just now") if asked.travels else "")
    mark = Mark(asked.standing.position_m, MarkKind.SUPPOSED.value, words)
    return loop_drawing(
        conveyor, ribbon(looks, conveyor), (mark,), curves=curves, loop=picture.loop
    )


def _curve(
    conveyor: Conveyor, picture: Picture, offsets_mm: np.ndarray, *, is_filled: bool = True
) -> Curve:
    """The line, thinned for drawing; the words stand at its largest offset."""
    peak = int(np.argmax(np.abs(offsets_mm)))
    label = offset_words(float(offsets_mm[peak]), conveyor) if is_filled else ""
    return Curve(
        tuple(
            RibbonPoint(
                position_m=float(picture.position_m[number]),
                offset_share=float(offsets_mm[number]) / picture.clearance_mm,
                label=label if number == peak else "",
            )
            for number in _kept(offsets_mm)
        ),
        is_filled=is_filled,
    )


def _kept(offsets_mm: np.ndarray) -> list[int]:
    """Numbers of the points drawn: of every bundle the one farthest out; no peak is lost."""
    bundles = np.array_split(np.arange(len(offsets_mm)), min(_MOST_POINTS, len(offsets_mm)))
    return [int(one[np.argmax(np.abs(offsets_mm[one]))]) for one in bundles]


def _rows(conveyor: Conveyor, shown: Shown, by_load: dict[LoadState, list[Sighting]]) -> list[Row]:
    """Stations of the picture and of the looks, in walking order."""
    looks = {(look.load, look.station.casefold()): look for row in by_load.values() for look in row}
    named = {one.name.casefold(): one for one in shown.stations}
    for look in looks.values():
        named.setdefault(look.station.casefold(), _station_of(look, shown))
    stations = in_walking_order(set(named.values()))
    computed = [one.seen_at(stations) for one in shown.pictures]
    return [
        Row(
            station,
            [column[number] for column in computed],
            [
                _words(looks.get((one.load.value, station.name.casefold())), conveyor)
                for one in shown.pictures
            ],
        )
        for number, station in enumerate(stations)
    ]


def _station_of(look: Sighting, shown: Shown) -> Station:
    """A place that was looked at and is no station of the picture."""
    found = shown.asked.conveyor.loop.station_named(look.station)
    if found is not None:
        return found
    return Station(look.station, ComponentKind.STRUCTURE_SECTION, Run(look.run), look.position_m)


def _words(look: Sighting | None, conveyor: Conveyor) -> str:
    return "" if look is None else seen_words(look, conveyor)
