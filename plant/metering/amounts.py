"""Running hours or tonnes between any two instants, and what is not known of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from plant.metering.basis import Basis
from plant.metering.clocks import BeltClock, Stretch, metered_clock
from plant.metering.columns import columns_of
from plant.metering.readings import Reading
from plant.metering.unknowns import Unknown


@dataclass(frozen=True)
class Amount:
    """`value` [h or t], or why it is not known and the instant from or up to which it would be."""

    value: float | None
    unknown: Unknown | None = None
    at: datetime | None = None


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
    clock = _clock(readings, first, last)
    if clock.gaps:
        return Amount(None, clock.gaps[0].why, clock.gaps[0].at)
    return Amount(clock.total)


def latest_stretch(readings: Sequence[Reading], first: datetime, last: datetime) -> Stretch | None:
    """The latest part of a period that readings cover without a gap; None when none do."""
    stretches = _clock(readings, first, last).stretches
    return stretches[-1] if stretches else None


def _clock(readings: Sequence[Reading], first: datetime, last: datetime) -> BeltClock:
    # Of one meter; what it counts makes no difference to the amounts.
    return metered_clock(Basis.RUNNING, columns_of(readings), first, last)
