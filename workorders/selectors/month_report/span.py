"""The stretches of time that a month's report looks at, in its plant's own zone."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from diagnostics.selectors.trends import Period
from plant.models import Plant
from workorders.month import Month
from workorders.month_report.changes import EARLIER_MONTHS, LATER_MONTHS


@dataclass(frozen=True)
class Span:
    """`now` is when the report is made; a month that goes on is reported until then."""

    plant: Plant
    month: Month
    now: datetime

    @property
    def is_whole(self) -> bool:
        return self.now >= self.midnight(self.month.ahead(1).first)

    @property
    def first(self) -> datetime:
        return self.midnight(self.month.first)

    @property
    def end(self) -> datetime:
        """Not included."""
        return min(self.midnight(self.month.ahead(1).first), self.now)

    @property
    def later_first(self) -> datetime:
        return self.midnight(self.later_month.first)

    @property
    def later_month(self) -> Month:
        return self.month.ahead(1 - LATER_MONTHS)

    @property
    def earlier_first(self) -> datetime:
        """Of the twelve months before the later ones."""
        return self.midnight(self.later_month.ahead(-EARLIER_MONTHS).first)

    @property
    def year_before(self) -> datetime:
        """Begin of the twelve months before the month alone."""
        return self.midnight(self.month.ahead(-EARLIER_MONTHS).first)

    @property
    def months(self) -> list[Month]:
        """The month and the twelve before it, in order."""
        return [self.month.ahead(step) for step in range(-EARLIER_MONTHS, 1)]

    @property
    def read_days(self) -> Period:
        """All days whose cases are asked for."""
        last = self.month_of(self.end - timedelta(microseconds=1)).last
        return Period(self.later_month.ahead(-EARLIER_MONTHS).first, last)

    def midnight(self, day: date) -> datetime:
        return datetime.combine(day, time(), tzinfo=self.plant.zone_info)

    def month_of(self, at: datetime) -> Month:
        return Month.of(self.plant.day_of(at))
