"""What is read of the condition of components and belting, and in which unit it is kept.

Units are those of the register, accepted by the SI: mm, °C, m. How a bearing sounds is a grade from
1, silent, to 5, screeching: an order, not a measure. A reading that can hardly be is kept and asked
about; one that cannot be is refused.
"""

import math
from enum import StrEnum

from plant.loop.vocabulary import IDLERS, PULLEYS, ComponentKind


class Quantity(StrEnum):
    LAGGING_THICKNESS = "lagging_thickness"
    ROLL_SHELL_THICKNESS = "roll_shell_thickness"
    BEARING_TEMPERATURE = "bearing_temperature"
    NOISE_GRADE = "noise_grade"
    BLADE_THICKNESS = "blade_thickness"
    TAKE_UP_TRAVEL_USED = "take_up_travel_used"
    CARRY_COVER_THICKNESS = "carry_cover_thickness"
    PULLEY_COVER_THICKNESS = "pulley_cover_thickness"

    @property
    def unit(self) -> str:
        return _UNITS.get(self, "mm")

    @property
    def is_of_belt(self) -> bool:
        """Read on the belt; every other one is read on a component."""
        return self in _OF_BELTS

    @property
    def is_grade(self) -> bool:
        """An order that somebody judged: 2 lies between 1 and 3, and not more is known."""
        return self is Quantity.NOISE_GRADE


_UNITS = {
    Quantity.BEARING_TEMPERATURE: "°C",
    Quantity.TAKE_UP_TRAVEL_USED: "m",
    Quantity.NOISE_GRADE: "grade",
}
LEAST_GRADE, MOST_GRADE = 1, 5
_OF_BELTS = frozenset({Quantity.CARRY_COVER_THICKNESS, Quantity.PULLEY_COVER_THICKNESS})
# Where each is read; the covers are the belt's.
_KINDS: dict[Quantity, frozenset[ComponentKind]] = {
    Quantity.LAGGING_THICKNESS: PULLEYS,
    Quantity.ROLL_SHELL_THICKNESS: IDLERS,
    Quantity.BEARING_TEMPERATURE: PULLEYS | IDLERS,
    Quantity.NOISE_GRADE: PULLEYS | IDLERS,
    Quantity.BLADE_THICKNESS: frozenset({ComponentKind.BELT_CLEANER, ComponentKind.PLOUGH}),
    Quantity.TAKE_UP_TRAVEL_USED: frozenset(
        {ComponentKind.TAKE_UP_PULLEY, ComponentKind.TAKE_UP_FRAME}
    ),
}
# Between which figures a reading is no surprise; engineering judgement, to be calibrated.
_LIKELY: dict[Quantity, tuple[float, float]] = {
    Quantity.LAGGING_THICKNESS: (0.0, 40.0),
    Quantity.ROLL_SHELL_THICKNESS: (0.0, 15.0),
    Quantity.BEARING_TEMPERATURE: (-40.0, 120.0),
    Quantity.NOISE_GRADE: (LEAST_GRADE, MOST_GRADE),
    Quantity.BLADE_THICKNESS: (0.0, 150.0),
    Quantity.TAKE_UP_TRAVEL_USED: (0.0, 30.0),
    Quantity.CARRY_COVER_THICKNESS: (0.0, 30.0),
    Quantity.PULLEY_COVER_THICKNESS: (0.0, 15.0),
}
# Two readings of one thickness by hand differ by less; engineering judgement.
_SCATTER_MM = 0.5


class Doubt(StrEnum):
    """Why a reading is asked about."""

    BEYOND_LIKELY = "beyond_likely"
    GROWN = "grown"
    ODD_PLACE = "odd_place"


def kinds_of(quantity: Quantity) -> frozenset[ComponentKind]:
    """The kinds of component it is read on; none for what is read on the belt."""
    return _KINDS.get(quantity, frozenset())


def likely_range(quantity: Quantity) -> tuple[float, float]:
    """Least and most that is no surprise, in the unit of the quantity."""
    return _LIKELY[quantity]


def cannot_be(quantity: Quantity, value: float) -> bool:
    """Whether no such thing can have been read: no number, no grade, a length below nothing."""
    if not math.isfinite(value):
        return True
    if quantity.is_grade:
        return not (float(value).is_integer() and LEAST_GRADE <= value <= MOST_GRADE)
    return value < 0 and quantity is not Quantity.BEARING_TEMPERATURE


def doubts_of(
    quantity: Quantity,
    value: float,
    *,
    kind: ComponentKind | None = None,
    before: float | None = None,
    was_replaced: bool = False,
) -> tuple[Doubt, ...]:
    """Why a reading is unlikely; nothing for one that is no surprise.

    `before` is the reading before it at the same place, `was_replaced` whether something new was
    fitted between the two: rubber and steel that nobody renewed do not grow.
    """
    found = []
    least, most = _LIKELY[quantity]
    if not least <= value <= most:
        found.append(Doubt.BEYOND_LIKELY)
    is_thickness = quantity.unit == "mm"
    if is_thickness and before is not None and not was_replaced and value > before + _SCATTER_MM:
        found.append(Doubt.GROWN)
    if kind is not None and kind not in _KINDS.get(quantity, frozenset()):
        found.append(Doubt.ODD_PLACE)
    return tuple(found)
