"""How far a true cause pushes the belt at any place of the loop; pure.

A plain picture, good enough to walk along: a cause shows a little before its place, most at it, and
fades downstream as the trough centres the belt again; off-centre material builds up behind the load
point; a fault in the belt shows everywhere, but only while it passes.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass, LoadState
from plant.loop.path import Loop
from plant.loop.vocabulary import Run, Side

# Lengths over which an offset fades to a third; middle of the ranges that the mechanics of a belt
# on gripping rolls give. Flat return rolls do not centre: other rolls' friction ends it. [m]
REACH_BEFORE_M = 4.0
FADES_CARRYING_M = 16.0
FADES_VEE_RETURN_M = 20.0
FADES_FLAT_RETURN_M = 90.0
LOAD_BUILDS_UP_M = 8.0


class Shape(StrEnum):
    PLACE = "place"
    LOADING = "loading"
    TRAVELLING = "travelling"

    @staticmethod
    def of(cause_class: CauseClass) -> "Shape":
        if cause_class is CauseClass.LOADING:
            return Shape.LOADING
        return Shape.TRAVELLING if cause_class in BELT_CLASSES else Shape.PLACE


@dataclass(frozen=True)
class TrueCause:
    """What really is wrong; `position_m` is a belt position for a cause that travels.

    `only` is the load state in which it shows, None for both; `changes_side` when a reversing
    belt that runs backwards goes to the other side.
    """

    cause: str
    cause_class: CauseClass
    position_m: float
    side: Side
    size_mm: float
    only: LoadState | None = None

    @property
    def shape(self) -> Shape:
        return Shape.of(self.cause_class)


def offset_mm(
    loop: Loop, true: TrueCause, at_m: float, load: LoadState, *, has_vee_return: bool
) -> float:
    """Offset at a place, + right; of a cause that travels, the extreme while it passes. [mm]"""
    if true.only is not None and load is not true.only:
        return 0.0
    full_mm = true.side.sign * true.size_mm
    if true.shape is Shape.TRAVELLING:
        return full_mm
    if true.shape is Shape.LOADING:
        return full_mm * _loading_share(loop, true.position_m, at_m, has_vee_return)
    before_m = loop.ahead_m(at_m, true.position_m)
    after = _fades(loop, true.position_m, at_m, has_vee_return)
    return full_mm * max(math.exp(-before_m / REACH_BEFORE_M), after)


def _loading_share(loop: Loop, load_m: float, at_m: float, has_vee_return: bool) -> float:
    if loop.run_at(at_m) is Run.CARRYING and at_m >= load_m:
        return 1 - math.exp(-(at_m - load_m) / LOAD_BUILDS_UP_M)
    at_head = 1 - math.exp(-(loop.head_m - load_m) / LOAD_BUILDS_UP_M)
    return at_head * _fades(loop, loop.head_m, at_m, has_vee_return)


def _fades(loop: Loop, from_m: float, to_m: float, has_vee_return: bool) -> float:
    """Share left after the way from one place to another in the direction of travel."""
    carrying_m, return_m = _ways_m(loop, from_m, to_m)
    fades_return_m = FADES_VEE_RETURN_M if has_vee_return else FADES_FLAT_RETURN_M
    return math.exp(-carrying_m / FADES_CARRYING_M - return_m / fades_return_m)


def _ways_m(loop: Loop, from_m: float, to_m: float) -> tuple[float, float]:
    carrying_m = min(to_m, loop.head_m) - min(from_m, loop.head_m)
    whole_m = loop.ahead_m(from_m, to_m)
    if to_m < from_m:
        carrying_m += loop.head_m
    return carrying_m, whole_m - carrying_m
