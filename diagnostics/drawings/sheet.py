"""The sheet small drawings are made on: strokes, rolls across the belt, the belt's edges.

Plan views look down on the belt with the head to the right of the sheet, so the right-hand side
of the conveyor is at the foot of the sheet on both runs. Sections look in the direction of
carrying travel. Side views show the line with the head to the right.
"""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from plant.loop.vocabulary import Side

WIDTH, HEIGHT = 420, 170
MIDDLE, HALF_BELT, HALF_ROLL = 85.0, 32.0, 44.0
# Drawn far larger than real, so that it can be seen: ends of a roll apart, belt off centre.
LEAD, SHIFT = 8.0, 18.0

FROM_ABOVE = _("Seen from above")
ALONG_TRAVEL = _("Seen in the direction of carrying travel")
FROM_THE_SIDE = _("Seen from the side")


class Ink(StrEnum):
    """Classes of the style sheet."""

    BELT = "belt"
    STEEL = "steel"
    FAULT = "fault"
    CENTRE = "centre-line"
    ARROW = "arrow"
    LOAD = "load"


class Looks(StrEnum):
    """From where: decides which words stand at the edges of the sheet."""

    PLAN = "plan"
    SECTION = "section"
    SIDE = "side"


@dataclass(frozen=True)
class Stroke:
    """One SVG path."""

    ink: Ink
    path: str


@dataclass(frozen=True)
class Drawing:
    """`belt_goes` is the side drawn; `tells` says the same for who cannot see it.

    None where the fault does not say to which side. `travel` is +1 where the belt drawn runs
    toward the head, -1 toward the tail, 0 in a section.
    """

    view: str | Promise
    tells: str | Promise
    belt_goes: Side | None
    strokes: tuple[Stroke, ...]
    travel: int = 0
    looks: Looks = Looks.PLAN
    width: int = WIDTH
    height: int = HEIGHT


def bar(ink: Ink, x: float, lead: float = 0.0, half: float = HALF_ROLL) -> Stroke:
    """A roll across the belt; `lead` moves its right-hand end (at the foot) along the sheet."""
    return Stroke(ink, f"M{x - lead:g} {MIDDLE - half:g}L{x + lead:g} {MIDDLE + half:g}")


def edges(shift: Callable[[float], float], start: float = 20, end: float = 400) -> list[Stroke]:
    """Both belt edges along a centre line that `shift` moves toward the foot of the sheet."""
    steps = [start + (end - start) * index / 24 for index in range(25)]
    return [
        Stroke(
            Ink.BELT,
            "M" + "L".join(f"{x:.1f} {MIDDLE + shift(x) + side * HALF_BELT:.1f}" for x in steps),
        )
        for side in (-1, 1)
    ]


def plan(
    tells: str | Promise,
    goes: Side | None,
    running: int,
    *strokes: Stroke,
    view: str | Promise = FROM_ABOVE,
) -> Drawing:
    """A plan view: centre line and arrow of travel under the strokes."""
    return Drawing(view, tells, goes, (*_ground(running), *strokes), running)


def section(tells: str | Promise, goes: Side | None, *strokes: Stroke) -> Drawing:
    """A cut across the belt, with the conveyor's centre line standing under the strokes."""
    standing = Stroke(Ink.CENTRE, f"M{WIDTH / 2:g} 12L{WIDTH / 2:g} 158")
    return Drawing(ALONG_TRAVEL, tells, goes, (standing, *strokes), looks=Looks.SECTION)


def side_view(tells: str | Promise, *strokes: Stroke) -> Drawing:
    """A length of the line from the side; the belt's place across it cannot be seen."""
    return Drawing(FROM_THE_SIDE, tells, None, (*strokes, _arrow(1)), 1, Looks.SIDE)


def line(ink: Ink, *points: tuple[float, float]) -> Stroke:
    return Stroke(ink, "M" + "L".join(f"{x:g} {y:g}" for x, y in points))


def shape(ink: Ink, *points: tuple[float, float]) -> Stroke:
    """A closed line."""
    return Stroke(ink, line(ink, *points).path + "Z")


def ring(ink: Ink, x: float, y: float, radius: float) -> Stroke:
    """Twelve corners, which pass for a circle at this size."""
    turns = [index * math.tau / 12 for index in range(12)]
    at = [
        (round(x + radius * math.cos(turn), 1), round(y + radius * math.sin(turn), 1))
        for turn in turns
    ]
    return shape(ink, *at)


def marks(ink: Ink, *lines: Iterable[tuple[float, float]]) -> Stroke:
    """Several lines that belong together."""
    return Stroke(ink, "".join(line(ink, *points).path for points in lines))


def bars(ink: Ink, *places: float) -> list[Stroke]:
    """Rolls square across the belt."""
    return [bar(ink, x) for x in places]


def _ground(travel: int) -> list[Stroke]:
    return [Stroke(Ink.CENTRE, f"M10 {MIDDLE:g}L410 {MIDDLE:g}"), _arrow(travel)]


def _arrow(travel: int) -> Stroke:
    tip, back = (400, 388) if travel > 0 else (20, 32)
    middle = HEIGHT - 12
    return Stroke(
        Ink.ARROW,
        f"M{400 - tip + 20} {middle}L{tip} {middle}M{back} {middle - 6}L{tip} {middle}"
        f"L{back} {middle + 6}",
    )


def after(place: float, travel: int, rise: float, fall: float) -> Callable[[float], float]:
    """Nothing far before the place, full shift there, dying away behind it; to the left."""

    def shift(x: float) -> float:
        along = (x - place) * travel
        share = 2 ** (along / rise) if along < 0 else 2 ** (-along / fall)
        return -SHIFT * share

    return shift
