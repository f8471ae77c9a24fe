"""The sheet small drawings are made on: strokes, rolls across the belt, the belt's edges.

Plan views look down on the belt with the head to the right of the sheet, so the right-hand side
of the conveyor is at the foot of the sheet on both runs. Sections look in the direction of
carrying travel.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.inference.causes import Cause
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.vocabulary import Side

WIDTH, HEIGHT = 420, 170
MIDDLE, HALF_BELT, HALF_ROLL = 85.0, 32.0, 44.0
# Drawn far larger than real, so that it can be seen: ends of a roll apart, belt off centre.
LEAD, SHIFT = 8.0, 18.0

FROM_ABOVE = _("Seen from above")


class Ink(StrEnum):
    """Classes of the style sheet."""

    BELT = "belt"
    STEEL = "steel"
    FAULT = "fault"
    CENTRE = "centre-line"
    ARROW = "arrow"


@dataclass(frozen=True)
class Stroke:
    """One SVG path."""

    ink: Ink
    path: str


@dataclass(frozen=True)
class Drawing:
    """`belt_goes` is the side drawn; `tells` says the same for who cannot see it.

    `travel` is +1 where the belt drawn runs toward the head, -1 toward the tail, 0 in a section.
    """

    view: str | Promise
    tells: str | Promise
    belt_goes: Side
    strokes: tuple[Stroke, ...]
    travel: int = 0
    width: int = WIDTH
    height: int = HEIGHT


def travel(cause: Cause) -> int:
    """+1 where the belt under the cause runs to the right of the sheet, toward the head."""
    returning = {CauseClass.RETURN_IDLER, CauseClass.BEND_PULLEY, CauseClass.TAKE_UP}
    return -1 if cause.cause_class in returning else 1


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
    goes: Side,
    running: int,
    *strokes: Stroke,
    view: str | Promise = FROM_ABOVE,
) -> Drawing:
    """A plan view: centre line and arrow of travel under the strokes."""
    return Drawing(view, tells, goes, (*_ground(running), *strokes), running)


def _ground(travel: int) -> list[Stroke]:
    tip, back = (400, 388) if travel > 0 else (20, 32)
    middle = HEIGHT - 12
    return [
        Stroke(Ink.CENTRE, f"M10 {MIDDLE:g}L410 {MIDDLE:g}"),
        Stroke(
            Ink.ARROW,
            f"M{400 - tip + 20} {middle}L{tip} {middle}M{back} {middle - 6}L{tip} {middle}"
            f"L{back} {middle + 6}",
        ),
    ]


def after(place: float, travel: int, rise: float, fall: float) -> Callable[[float], float]:
    """Nothing far before the place, full shift there, dying away behind it; to the left."""

    def shift(x: float) -> float:
        along = (x - place) * travel
        share = 2 ** (along / rise) if along < 0 else 2 ** (-along / fall)
        return -SHIFT * share

    return shift
