"""What a check says: two figures held against each other, or why they could not be."""

from dataclasses import dataclass
from enum import StrEnum


class Check(StrEnum):
    """What is held against what, in the order of the page."""

    BELT_LENGTH = "belt length"
    BELT_SPEED = "belt speed"
    BELT_WIDTH = "belt width"
    TROUGH_ANGLE = "trough angle"
    HEIGHTS_RISE = "heights and lift"
    HEIGHTS_END = "heights and length"
    SLOPE = "slope"
    PULLEY_ORDER = "pulley order"
    SPACING = "spacing"
    GAP = "gap"
    TRANSITION = "transition"
    ROLL_SPEED = "roll speed"
    TENSION = "tension"
    SLIP = "slip"
    TAKE_UP_MASS = "take-up mass"
    SAG_CARRYING = "sag carrying"
    SAG_RETURN = "sag return"


class Unit(StrEnum):
    METRE = "m"
    MILLIMETRE = "mm"
    METRE_PER_SECOND = "m/s"
    TURNS_PER_MINUTE = "rpm"
    NEWTON = "N"
    KILOGRAM = "kg"
    KILOGRAM_PER_METRE = "kg/m"
    DEGREE = "deg"
    SHARE = "share"
    NUMBER = "number"


class Bound(StrEnum):
    """How the figure found should lie to the one wanted."""

    AT_LEAST = "at least"
    AT_MOST = "at most"
    ABOUT = "about"


class Missing(StrEnum):
    """What would have to be known first."""

    LOOP = "loop"
    BELT = "belt"
    BELT_MASS = "belt mass"
    CAPACITY = "capacity"
    TAKE_UP_TENSION = "take-up tension"
    TAKE_UP_MASS = "take-up mass"
    TAKE_UP_PULLEY = "take-up pulley"
    PULLEY_SPEED = "pulley speed"
    PULLEY_DIAMETER = "pulley diameter"
    ROLL_DIAMETER = "roll diameter"
    CARRYING_IDLERS = "carrying idlers"
    RETURN_IDLERS = "return idlers"
    BRAKING = "braking"


@dataclass(frozen=True)
class Quantity:
    value: float
    unit: Unit


@dataclass(frozen=True)
class Given:
    """A figure that went into a formula; assumed where the register does not hold it."""

    symbol: str
    quantity: Quantity
    is_assumed: bool = False


@dataclass(frozen=True)
class Compared:
    """Two figures held against each other.

    Attributes
    ----------
    check : Check
    found : Quantity
        What the register says, or what follows from it.
    wanted : Quantity
        What it is held against, by `bound`.
    asks : bool
        The two do not fit: a question for the keeper.
    at : tuple of str
        Names of the components it is about; empty for the conveyor as a whole.
    given : tuple of Given
        What else went into the formula.
    """

    check: Check
    found: Quantity
    bound: Bound
    wanted: Quantity
    asks: bool
    at: tuple[str, ...] = ()
    given: tuple[Given, ...] = ()


@dataclass(frozen=True)
class Unchecked:
    """A check that was not made; `at` names the components that lack the figure."""

    check: Check
    missing: Missing
    at: tuple[str, ...] = ()


Finding = Compared | Unchecked


def at_most(
    check: Check,
    found: float,
    wanted: float,
    unit: Unit,
    *,
    at: tuple[str, ...] = (),
    given: tuple[Given, ...] = (),
) -> Compared:
    return _compared(check, found, Bound.AT_MOST, wanted, unit, found > wanted, at, given)


def at_least(
    check: Check,
    found: float,
    wanted: float,
    unit: Unit,
    *,
    at: tuple[str, ...] = (),
    given: tuple[Given, ...] = (),
) -> Compared:
    return _compared(check, found, Bound.AT_LEAST, wanted, unit, found < wanted, at, given)


def about(
    check: Check,
    found: float,
    wanted: float,
    unit: Unit,
    *,
    within: float,
    at: tuple[str, ...] = (),
    given: tuple[Given, ...] = (),
) -> Compared:
    """`within` is how far apart the two may be, in their unit."""
    asks = abs(found - wanted) > within
    return _compared(check, found, Bound.ABOUT, wanted, unit, asks, at, given)


def between(
    check: Check, found: float, limits: tuple[float, float], unit: Unit, *, at: tuple[str, ...] = ()
) -> Compared:
    """Held against the nearer of two limits."""
    least, most = limits
    if found - least < most - found:
        return at_least(check, found, least, unit, at=at)
    return at_most(check, found, most, unit, at=at)


def _compared(
    check: Check,
    found: float,
    bound: Bound,
    wanted: float,
    unit: Unit,
    asks: bool,
    at: tuple[str, ...],
    given: tuple[Given, ...],
) -> Compared:
    return Compared(check, Quantity(found, unit), bound, Quantity(wanted, unit), asks, at, given)
