"""Readings of a part's condition, and the limit they are held against."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from plant.loop.condition import Quantity
from workorders.planning.lives import Numbers

# Only the latest so many count: pairs of them all are looked at, and old wear says less.
MOST_READINGS = 400
# Times this near to each other, as a share, are one time: rounding.
SAME_TIME = 1e-9


class Direction(StrEnum):
    """Which way the quantity goes as the part wears."""

    FALLS = "falls"
    RISES = "rises"


_RISING = frozenset(
    {Quantity.BEARING_TEMPERATURE, Quantity.NOISE_GRADE, Quantity.TAKE_UP_TRAVEL_USED}
)


def direction_of(quantity: Quantity) -> Direction:
    """Thicknesses fall; temperatures, noise and take-up travel used rise."""
    return Direction.RISES if quantity in _RISING else Direction.FALLS


@dataclass(frozen=True, order=True)
class Reading:
    """What was read, and when, in the unit of time of the caller."""

    at: float
    value: float


@dataclass(frozen=True)
class Limit:
    """The value at which the part must be renewed; it `falls` or `rises` to it."""

    value: float
    direction: Direction

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise ValueError(f"the limit must be finite, got {self.value!r}")

    def margin(self, values: Numbers) -> Numbers:
        """What is left until the limit, negative beyond it."""
        return values - self.value if self.direction is Direction.FALLS else self.value - values


def latest_by_time(readings: Iterable[Reading], now: float) -> list[Reading]:
    """By rising time, at most the latest 400; ValueError for what is no reading up to now."""
    if not math.isfinite(now):
        raise ValueError(f"now must be finite, got {now!r}")
    kept = sorted(readings)
    for one in kept:
        if not (math.isfinite(one.at) and math.isfinite(one.value)):
            raise ValueError(f"readings must be finite, got {one!r}")
        if one.at > now:
            raise ValueError(f"readings must not be after now, {now!r}, got {one!r}")
    return kept[-MOST_READINGS:]


def are_spread(readings: Sequence[Reading], now: float) -> bool:
    """Whether readings by rising time lie far enough apart to give a rate up to now."""
    if len(readings) < 2:
        return False
    first, last = readings[0].at, readings[-1].at
    return last - first > SAME_TIME * max(abs(first), abs(last), abs(now))


def times_and_margins(readings: Sequence[Reading], limit: Limit) -> tuple[Numbers, Numbers]:
    """Times, and what was left until the limit at each."""
    times = np.array([one.at for one in readings], float)
    return times, limit.margin(np.array([one.value for one in readings], float))


def step_between(values: Numbers) -> float:
    """The smallest difference between them; 0 if all are alike.

    Of values that repeat, it is what the instrument or its reader can tell apart.
    """
    differences = np.diff(np.unique(values))
    return float(differences.min()) if len(differences) else 0.0


def finest_step(readings: Sequence[Reading]) -> float:
    """The last decimal place that any of the values was written with."""
    return 10.0 ** -max(_decimals(one.value) for one in readings)


def _decimals(value: float) -> int:
    text = f"{value:.12f}".rstrip("0")
    return len(text) - text.index(".") - 1
