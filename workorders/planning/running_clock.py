"""Hours by which wear and lives are counted: running hours of a meter, else those of the calendar.

Between meter readings hours are spread evenly. Before the first of them nothing is made up; ahead
of the last the meter goes on as it did on average since the first, because a date is asked for.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise

from plant.metering.readings import Reading, rise

# A shorter stretch says little of how a belt runs; engineering judgement, to be calibrated.
_SHORTEST = timedelta(days=14)
# Slower than this a belt stands still, and no date comes out of its hours.
_LEAST_SHARE = 0.01
_START = datetime(2000, 1, 1, tzinfo=UTC)
_HOUR = timedelta(hours=1)
# The calendar ends; a date beyond this is none that anybody plans with.
_FARTHEST_H = 100 * 365.25 * 24


@dataclass(frozen=True)
class Clock:
    """Hours at an instant, and the instant of hours.

    Attributes
    ----------
    instants, hours : tuple
        Points between which the clock goes evenly, rising; of the calendar one, at 0 h.
    ahead : float
        How many of its hours go by in an hour of the calendar after the last point. [-]
    is_running : bool
        Whether the hours are those of a meter.
    """

    instants: tuple[datetime, ...]
    hours: tuple[float, ...]
    ahead: float
    is_running: bool

    def knows(self, instants: Iterable[datetime]) -> bool:
        """Whether it goes back as far as all of them."""
        return not self.is_running or all(at >= self.instants[0] for at in instants)

    def hours_at(self, at: datetime) -> float:
        """Hours at an instant that it knows. [h]"""
        place = min(bisect_right(self.instants, at), len(self.instants)) - 1
        place = max(place, 0)
        since = (at - self.instants[place]) / _HOUR
        return self.hours[place] + since * self._rate(place)

    def at_hours(self, hours: float) -> datetime | None:
        """The instant at which it shows these hours; None for one beyond a hundred years."""
        place = max(bisect_right(self.hours, hours) - 1, 0)
        since = (hours - self.hours[place]) / (self._rate(place) or self.ahead)
        if not abs(since) <= _FARTHEST_H:
            return None
        return self.instants[place] + since * _HOUR

    def _rate(self, place: int) -> float:
        if place >= len(self.instants) - 1:
            return self.ahead
        apart = (self.instants[place + 1] - self.instants[place]) / _HOUR
        return (self.hours[place + 1] - self.hours[place]) / apart


CALENDAR = Clock((_START,), (0.0,), 1.0, False)


def clock_of(readings: Sequence[Reading]) -> Clock:
    """The clock of a conveyor's running-hour readings, in the order of time.

    That of the calendar where they cover less than two weeks without a gap, or the belt stood.
    """
    instants, hours = _latest_without_gap(readings)
    if len(instants) < 2 or instants[-1] - instants[0] < _SHORTEST:
        return CALENDAR
    share = hours[-1] / ((instants[-1] - instants[0]) / _HOUR)
    if share < _LEAST_SHARE:
        return CALENDAR
    return Clock(tuple(instants), tuple(hours), min(share, 1.0), True)


def clock_for(clock: Clock, instants: Iterable[datetime]) -> Clock:
    """The clock itself where it goes back to all of the instants, else the calendar."""
    return clock if clock.knows(instants) else CALENDAR


def _latest_without_gap(readings: Sequence[Reading]) -> tuple[list[datetime], list[float]]:
    if not readings:
        return [], []
    instants, hours = [readings[0].at], [0.0]
    for before, reading in pairwise(readings):
        more = rise(before, reading)
        if more is None:
            instants, hours = [reading.at], [0.0]
        elif reading.at > instants[-1]:
            instants.append(reading.at)
            hours.append(hours[-1] + more)
    return instants, hours
