"""A belt's clock in a period: the exposure that has come in since it began, gaps cut out.

Exposure is running hours, tonnes, or days of the calendar. Between two readings it is spread
evenly; where nothing is known the clock says nothing, and goes on after the gap from where it
stood before it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cached_property
from typing import Any

import numpy as np

from plant.metering.basis import Basis
from plant.metering.columns import Floats, MeterColumns
from plant.metering.unknowns import Unknown

DAY_S = 86_400.0


@dataclass(frozen=True)
class Stretch:
    """The amount [h, t or d] of a stretch of time that is known without a gap."""

    first: datetime
    last: datetime
    value: float


@dataclass(frozen=True)
class Gap:
    """A part of the period of which nothing is known.

    `at` is the reading that would have to be earlier, later or read; None without readings.
    """

    first: datetime
    last: datetime
    why: Unknown
    at: datetime | None = None

    @property
    def days(self) -> float:
        return (self.last - self.first).total_seconds() / DAY_S


@dataclass(frozen=True, eq=False)
class BeltClock:
    """What is known of a belt's exposure between two instants.

    Attributes
    ----------
    basis : Basis
        What is counted: running hours [h], tonnes [t], or days of the calendar [d].
    first, last : datetime
        The belt was watched between them; in UTC.
    begins, ends : array of float
        Known pieces in order, none overlapping, each gone through evenly. [s since first]
    amounts : array of float
        What came in during each piece. [h, t or d]
    gaps : tuple of Gap
        The rest of the time, in order.
    """

    basis: Basis
    first: datetime
    last: datetime
    begins: Floats
    ends: Floats
    amounts: Floats
    gaps: tuple[Gap, ...] = ()

    @cached_property
    def total(self) -> float:
        """All that is known to have come in; 0 also where nothing is known, see `is_known`."""
        return float(self.amounts.sum())

    @property
    def is_known(self) -> bool:
        """Whether anything at all is known."""
        return len(self.amounts) > 0

    @cached_property
    def unknown_days(self) -> float:
        return sum(gap.days for gap in self.gaps)

    @property
    def watched_days(self) -> float:
        """Days of the calendar, known or not."""
        return (self.last - self.first).total_seconds() / DAY_S

    @cached_property
    def stretches(self) -> tuple[Stretch, ...]:
        """The known parts, in order; between two of them lies a gap."""
        if not self.is_known:
            return ()
        starts = np.flatnonzero(np.r_[True, self.begins[1:] > self.ends[:-1]])
        stops = np.r_[starts[1:], len(self.begins)] - 1
        sums = np.add.reduceat(self.amounts, starts)
        return tuple(
            Stretch(
                _after(self.first, self.begins[a]), _after(self.first, self.ends[b]), float(value)
            )
            for a, b, value in zip(starts, stops, sums, strict=True)
        )

    def at(self, instant: datetime) -> float | None:
        """Exposure since the period began; None inside a gap or outside the period."""
        found = float(self.at_many([instant])[0])
        return None if np.isnan(found) else found

    def at_many(self, instants: Iterable[datetime]) -> Floats:
        """The same of many instants; nan where it is not known.

        Equal instants show the same, and so do all instants of a time in which the belt stood;
        at the begin of the first stretch it is 0.
        """
        return self.at_seconds([one.timestamp() for one in instants])

    def at_seconds(self, at_s: Any) -> Floats:
        """The same of seconds since 1970 began in UTC. [s]"""
        since = np.asarray(at_s, dtype=float) - self.first.timestamp()
        if not self.is_known:
            return np.full(since.shape, np.nan)
        place = np.maximum(np.searchsorted(self.begins, since, side="right") - 1, 0)
        share = (since - self.begins[place]) / (self.ends - self.begins)[place]
        before = np.cumsum(self.amounts) - self.amounts
        shown = before[place] + share * self.amounts[place]
        return np.where((share >= 0) & (share <= 1), shown, np.nan)

    def gap_at(self, instant: datetime) -> Gap | None:
        """The gap in which an instant lies; None where the clock shows something."""
        if self.at(instant) is not None:
            return None
        return next((gap for gap in self.gaps if gap.first <= instant <= gap.last), None)


def calendar_clock(first: datetime, last: datetime) -> BeltClock:
    """Days of the calendar, all of them known.

    Raises
    ------
    ValueError
        The period ends before it begins.
    """
    first, last = _in_order(first, last)
    length = _seconds(first, last)
    pieces = np.array([length] if length > 0 else [])
    return BeltClock(Basis.CALENDAR, first, last, np.zeros_like(pieces), pieces, pieces / DAY_S)


def metered_clock(
    basis: Basis, readings: MeterColumns, first: datetime, last: datetime
) -> BeltClock:
    """The clock of a meter in a period.

    Parameters
    ----------
    basis : Basis
        What the meter counts; not the calendar.
    readings : MeterColumns
        Those in the period, the last one before it and the first one after it at least. Of
        readings at the same instant only the steps to its first and from its last one count.
    first, last : datetime
        With their zones; last not before first.

    Returns
    -------
    BeltClock
        A piece between readings that the period cuts counts with its share of the time.

    Raises
    ------
    ValueError
        The period ends before it begins.

    References
    ----------
    Linear interpolation (identity).
    """
    first, last = _in_order(first, last)
    length, at = _seconds(first, last), readings.at_s - first.timestamp()
    begins, ends = np.maximum(at[:-1], 0.0), np.minimum(at[1:], length)
    is_in, rises = ends > begins, readings.rises()
    known = is_in & np.isfinite(rises)
    begins_known, ends_known = begins[known], ends[known]
    shares = (ends_known - begins_known) / (at[1:] - at[:-1])[known]
    holes = np.flatnonzero(is_in & ~known)
    unread = [(begins[k], ends[k], Unknown.NOT_READ, at[k + 1]) for k in holes]
    gaps = _gaps(first, length, at, unread)
    return BeltClock(basis, first, last, begins_known, ends_known, rises[known] * shares, gaps)


_Hole = tuple[float, float, Unknown, float | None]


def _gaps(first: datetime, length: float, at: Floats, unread: Sequence[_Hole]) -> tuple[Gap, ...]:
    """The unread parts with what lies before the first and after the last reading."""
    holes: list[_Hole] = []
    if not len(at):
        holes.append((0.0, length, Unknown.NO_READINGS, None))
    elif at[0] > 0:
        holes.append((0.0, min(at[0], length), Unknown.BEFORE_FIRST, at[0]))
    holes += unread
    if len(at) and at[-1] < length:
        holes.append((max(at[-1], 0.0), length, Unknown.AFTER_LAST, at[-1]))

    return tuple(
        Gap(_after(first, begin), _after(first, end), why, _mark(first, mark))
        for begin, end, why, mark in holes
        if end > begin
    )


def _after(first: datetime, since_s: float) -> datetime:
    return first + timedelta(seconds=float(since_s))


def _mark(first: datetime, since_s: float | None) -> datetime | None:
    return None if since_s is None else _after(first, since_s)


def _seconds(first: datetime, last: datetime) -> float:
    # As `at_s` has them, so that equal instants are equal numbers.
    return last.timestamp() - first.timestamp()


def _in_order(first: datetime, last: datetime) -> tuple[datetime, datetime]:
    # In UTC, for between two times of one zone Python counts what clocks on the wall show.
    first, last = first.astimezone(UTC), last.astimezone(UTC)
    if last < first:
        raise ValueError("last must not be before first")
    return first, last
