"""Where a part fits, by what the register says of components and belts; pure.

A use names figures a place must have; a figure that is not named may be anything. Where the
register does not know a figure that is named, the place counts and says what is not written down.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from plant.loop.rolls import RollPlace

# Not a kind of component: the belt that is fitted.
BELT = "belt"
# Widths and diameters are written down to the millimetre.
_SAME_MM = 1.0


class CountedBy(StrEnum):
    """What takes the amount of a use once."""

    ONE = "one"
    ROLL = "roll"
    WING_ROLL = "wing_roll"
    CENTRE_ROLL = "centre_roll"
    METRE = "metre"


OF_ROLLS = frozenset({CountedBy.ROLL, CountedBy.WING_ROLL, CountedBy.CENTRE_ROLL})


class Figure(StrEnum):
    """What a use can ask of a place."""

    BELT_WIDTH = "belt_width_mm"
    BELT_STRENGTH = "belt_strength_n_mm"
    DIAMETER = "diameter_mm"


@dataclass(frozen=True)
class Use:
    """`on` is a kind of component or BELT; `each` is what one takes, in the part's unit.

    `conveyor` and `name` narrow it to one conveyor and to components of that name; figures are None
    where any will do.
    """

    on: str
    each: Decimal = Decimal(1)
    by: CountedBy = CountedBy.ONE
    conveyor: int | None = None
    name: str = ""
    belt_width_mm: float | None = None
    belt_strength_n_mm: float | None = None
    diameter_mm: float | None = None


@dataclass(frozen=True)
class Place:
    """A component, or a group of `sets` idler sets, or a belt, as the register knows it.

    `rolls` are those of one set; figures are None where the register does not know them.
    """

    on: str
    conveyor: int
    name: str = ""
    sets: int = 1
    rolls: tuple[RollPlace, ...] = ()
    length_m: float | None = None
    belt_width_mm: float | None = None
    belt_strength_n_mm: float | None = None
    diameter_mm: float | None = None


@dataclass(frozen=True)
class Fit:
    """What a place takes of a part.

    Attributes
    ----------
    amount : Decimal or None
        In the part's unit; None when it goes by a length the register does not know.
    rolls : tuple of RollPlace
        Which rolls of each set, from left to right; none for what is no roll.
    unknown : tuple of Figure
        What a use asks and the register does not know.
    """

    amount: Decimal | None
    rolls: tuple[RollPlace, ...] = ()
    unknown: tuple[Figure, ...] = ()


def fit_of(uses: Iterable[Use], place: Place) -> Fit | None:
    """What a place takes by all uses of one part; None when it does not fit there.

    Uses that name the same rolls, or the same place, do not add up: the largest counts.
    """
    fitting = [
        (use, unknown) for use in uses if (unknown := _asked_in_vain(use, place)) is not None
    ]
    by_roll: dict[RollPlace, Decimal] = {}
    by_one = by_metre = Decimal(0)
    for use, _unknown in fitting:
        if use.by is CountedBy.ONE:
            by_one = max(by_one, use.each)
        elif use.by is CountedBy.METRE:
            by_metre = max(by_metre, use.each)
        for roll in _rolls_of(use, place):
            by_roll[roll] = max(by_roll.get(roll, Decimal(0)), use.each)
    if not (by_roll or by_one or by_metre):
        return None
    return Fit(
        _amount(place, sum(by_roll.values(), by_one), by_metre),
        tuple(roll for roll in place.rolls if roll in by_roll),
        tuple(dict.fromkeys(figure for _use, unknown in fitting for figure in unknown)),
    )


def _amount(place: Place, by_set: Decimal, by_metre: Decimal) -> Decimal | None:
    if by_metre and place.length_m is None:
        return None
    length = Decimal(str(place.length_m or 0))
    return (by_set * place.sets + by_metre * length).quantize(Decimal("0.01"))


def _asked_in_vain(use: Use, place: Place) -> tuple[Figure, ...] | None:
    """The figures the register does not know; None when the place is another one."""
    if use.on != place.on or use.conveyor not in {None, place.conveyor}:
        return None
    if use.name and use.name.casefold() != place.name.casefold():
        return None
    unknown = []
    for figure in Figure:
        wanted, stands = getattr(use, figure.value), getattr(place, figure.value)
        if wanted is None:
            continue
        if stands is None:
            unknown.append(figure)
        elif not math.isclose(wanted, stands, rel_tol=0, abs_tol=_SAME_MM):
            return None
    return tuple(unknown)


def _rolls_of(use: Use, place: Place) -> tuple[RollPlace, ...]:
    if use.by is CountedBy.ROLL:
        return place.rolls
    if use.by is CountedBy.CENTRE_ROLL:
        return tuple(roll for roll in place.rolls if roll is RollPlace.CENTRE)
    if use.by is CountedBy.WING_ROLL:
        return tuple(roll for roll in place.rolls if roll is not RollPlace.CENTRE)
    return ()
