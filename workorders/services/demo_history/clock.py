"""The time of one told case: it only goes forward and never past the end of the history; pure."""

import math
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from numpy.random import Generator

DAY_BEGINS = time(7)
DAY_ENDS = time(16)
# Of the time left until the deadline, no single step takes more than this share.
LARGEST_STEP = 0.35


@dataclass
class Clock:
    """`now` is when the case has been told up to; both moments are aware."""

    now: datetime
    deadline: datetime
    zone: ZoneInfo
    rng: Generator

    def later(self, least_h: float, most_h: float, *, by_day: bool = False) -> datetime:
        """Go on by a drawn number of hours, short ones more often; by day: in office hours."""
        hours = math.exp(self.rng.uniform(math.log(least_h), math.log(most_h)))
        room = (self.deadline - self.now) * LARGEST_STEP
        then = self.now + min(timedelta(hours=hours), room)
        if by_day:
            morning = self._office_hours(then)
            then = morning if morning < self.deadline else then
        self.now = then
        return then

    def _office_hours(self, moment: datetime) -> datetime:
        local = moment.astimezone(self.zone)
        if DAY_BEGINS <= local.time() < DAY_ENDS:
            return moment
        day = local.date() + timedelta(days=0 if local.time() < DAY_BEGINS else 1)
        minutes = int(self.rng.integers(150))
        begins = datetime.combine(day, DAY_BEGINS, tzinfo=self.zone)
        return (begins + timedelta(minutes=minutes)).astimezone(moment.tzinfo)
