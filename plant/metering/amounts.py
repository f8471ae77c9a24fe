"""Running hours or tonnes between any two instants, and what is not known of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import pairwise

from plant.metering.readings import Reading, rise


class Unknown(StrEnum):
    """Why there is no figure."""

    NO_READINGS = "no_readings"
    BEFORE_FIRST = "before_first"
    AFTER_LAST = "after_last"
    NOT_READ = "not_read"


@dataclass(frozen=True)
class Amount:
    """`value` [h or t], or why it is not known and the instant from or up to which it would be."""

    value: float | None
    unknown: Unknown | None = None
    at: datetime | None = None


@dataclass(frozen=True)
class Stretch:
    """The amount [h or t] of a stretch of time that readings cover without a gap."""

    first: datetime
    last: datetime
    value: float


def amount_between(readings: Sequence[Reading], first: datetime, last: datetime) -> Amount:
    """How much the meter counted between two instants.

    Parameters
    ----------
    readings : sequence of Reading
        Of one quantity, in the order of time, each plausible after the one before.
    first, last : datetime
        With their zones; last not before first.

    Returns
    -------
    Amount
        Between readings the amount is taken as spread evenly over the time. Unknown before the
        first and after the last reading and where a meter was replaced without being read.

    Raises
    ------
    ValueError
        The stretch ends before it begins.

    References
    ----------
    Linear interpolation (identity).
    """
    if last < first:
        raise ValueError("last must not be before first")
    if not readings:
        return Amount(None, Unknown.NO_READINGS)
    if first < readings[0].at:
        return Amount(None, Unknown.BEFORE_FIRST, readings[0].at)
    if last > readings[-1].at:
        return Amount(None, Unknown.AFTER_LAST, readings[-1].at)
    total = 0.0
    for before, reading in pairwise(readings):
        share = _share(before, reading, first, last)
        if share <= 0:
            continue
        more = rise(before, reading)
        if more is None:
            return Amount(None, Unknown.NOT_READ, reading.at)
        total += more * share
    return Amount(total)


def latest_stretch(readings: Sequence[Reading], first: datetime, last: datetime) -> Stretch | None:
    """The latest part of a period that readings cover without a gap; None when none do."""
    from_at = to_at = None
    total = 0.0
    for before, reading in reversed(list(pairwise(readings))):
        share = _share(before, reading, first, last)
        more = rise(before, reading)
        if share > 0 and more is not None:
            from_at, to_at = max(before.at, first), to_at or min(reading.at, last)
            total += more * share
        elif from_at is not None:
            break
    return None if from_at is None or to_at is None else Stretch(from_at, to_at, total)


def _share(before: Reading, reading: Reading, first: datetime, last: datetime) -> float:
    """The part of the time between two readings that lies in the stretch, 0 to 1."""
    overlap = min(reading.at, last) - max(before.at, first)
    return max(overlap, timedelta()) / (reading.at - before.at)
