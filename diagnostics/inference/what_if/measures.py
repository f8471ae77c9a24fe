"""Sizes: what the mechanics measures a fault by, the usual size, and what is absurd."""

import math
from dataclasses import dataclass

from diagnostics.inference.causes import Cause
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.ranking import BOWED
from diagnostics.inference.travelling import USUAL_ANGLE_DEG, USUAL_CAMBER_PER_M
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.inference.what_if.causes_asked import FaultKind
from diagnostics.inference.what_if.choice import WhatIfRefusal
from diagnostics.mechanics.bow_faults import BOW_MM
from diagnostics.mechanics.pulley_faults import PULLEY_SKEW_DEG, PULLEY_TAPER_MM
from diagnostics.mechanics.roll_faults import (
    CARRYING_GROUPS,
    LOAD_OFF_SHARE_OF_WIDTH,
    RETURN_GROUPS,
    RUB_DEG_M,
    STUCK_DEG,
)
from plant.loop.vocabulary import Run

# Sets taken as turned alike when nobody says how many; one return idler is seen by itself.
USUAL_SETS = {Run.CARRYING: CARRYING_GROUPS[1][0], Run.RETURN: RETURN_GROUPS[0][0]}
# Of the sizes the engine averages over, the one a person begins to see.
TIMES = "times the usual"
# Beyond these a fault is a wreck or a slip of the pen; engineering judgement.
_MOST = {
    FaultKind.IDLERS: 15.0,
    FaultKind.STUCK: 15.0,
    FaultKind.BOW: 1000.0,
    FaultKind.SKEW: 5.0,
    FaultKind.TAPER: 50.0,
    FaultKind.RUB: 20.0,
    FaultKind.SPLICE: 10.0,
    FaultKind.CAMBER: 0.02,
}
_UNITS = {
    FaultKind.BOW: "mm",
    FaultKind.LOADING: "mm",
    FaultKind.TAPER: "mm diameter",
    FaultKind.RUB: TIMES,
    FaultKind.CAMBER: "1/m",
}
_MEASURED = {
    FaultKind.IDLERS: "the angle by which the rolls stand out of square",
    FaultKind.STUCK: "the angle at which the set is stuck",
    FaultKind.BOW: "the height of a bow of the structure",
    FaultKind.LOADING: "how far off centre the material lands",
    FaultKind.SKEW: "the angle by which the pulley stands out of square",
    FaultKind.TAPER: "the difference of the pulley's diameter from side to side",
    FaultKind.RUB: "the push of what rubs, against a usual one",
    FaultKind.SPLICE: "the angle by which the belt turns at the defect",
    FaultKind.CAMBER: "the curvature of the section",
}


@dataclass(frozen=True)
class Measure:
    """What a size counts, and how it becomes the amplitude of the fault family.

    Attributes
    ----------
    unit, usual, most
        Of the size; the usual one is the family's, no larger one than `most` is taken.
    amplitude_per_unit : float
        Amplitude of the family per unit of size.
    what : str
        What is measured, in words.
    is_own : bool
        Whether the catalogue counts the cause the same way.
    """

    unit: str
    usual: float
    most: float
    amplitude_per_unit: float
    what: str
    is_own: bool

    def checked(self, size: float | None) -> float:
        """The size, or the usual one; refuses what is out of bounds."""
        if size is None:
            return self.usual
        if not 0 < size <= self.most:
            raise WhatIfRefusal(
                "size", f"must be above 0 and at most {self.most:g} {self.unit}, not {size:g}."
            )
        return size


def measure_of(
    cause: Cause, kind: FaultKind, conveyor: ConveyorFacts, *, run: Run, sets: int
) -> Measure:
    """How a cause is measured when the mechanics takes it as this kind of fault.

    Notes
    -----
    A bearing that is moved in millimetres turns its pulley by arctan(size / belt width), the belt's
    width standing for the way between the bearings; taken as linear.
    """
    width_mm = conveyor.belt.width_mm
    unit, what = _UNITS.get(kind, "deg"), _MEASURED[kind]
    usual = _usual(kind, width_mm, run, sets)
    most = width_mm / 2 if kind is FaultKind.LOADING else _MOST[kind]
    if kind is FaultKind.RUB:
        return Measure(unit, 1.0, most, RUB_DEG_M, what, is_own=False)
    if kind is FaultKind.SKEW and cause.shift is not None and cause.size_unit == "mm":
        mm_per_deg = width_mm * math.radians(1.0)
        what = "how far one bearing is out of place against the other"
        return Measure(
            "mm", usual * mm_per_deg, most * mm_per_deg, 1 / mm_per_deg, what, is_own=True
        )
    return Measure(unit, usual, most, 1.0, what, _is_own(cause, kind, unit))


def _usual(kind: FaultKind, width_mm: float, run: Run, sets: int) -> float:
    if kind is FaultKind.IDLERS:
        groups = CARRYING_GROUPS if run is Run.CARRYING else RETURN_GROUPS
        return min(groups, key=lambda one: abs(one[0] - sets))[1]
    return {
        FaultKind.STUCK: STUCK_DEG,
        FaultKind.BOW: BOW_MM,
        FaultKind.LOADING: LOAD_OFF_SHARE_OF_WIDTH * width_mm,
        FaultKind.SKEW: PULLEY_SKEW_DEG,
        FaultKind.TAPER: PULLEY_TAPER_MM,
        FaultKind.RUB: 1.0,
        FaultKind.SPLICE: USUAL_ANGLE_DEG,
        FaultKind.CAMBER: USUAL_CAMBER_PER_M,
    }[kind]


def _is_own(cause: Cause, kind: FaultKind, unit: str) -> bool:
    """Millimetres of a bow and of a load; other causes count other millimetres."""
    if cause.size_unit != unit:
        return False
    if kind is FaultKind.BOW:
        return cause.slug == BOWED
    return kind is not FaultKind.LOADING or cause.cause_class is CauseClass.LOADING
