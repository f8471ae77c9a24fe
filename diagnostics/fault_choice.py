"""Which faults of a plant are reckoned: of which family, divided by what, in which period."""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta

from diagnostics.models import FaultReckoning
from plant.days import FIRST_DAY
from plant.metering.basis import Basis

Span = FaultReckoning.Span


@dataclass(frozen=True)
class FaultChoice:
    """`span` is a period that moves with the day; "" for `first` to `last`, both included.

    `family` is a cause class, or "" for all cases.
    """

    basis: Basis = Basis.CALENDAR
    family: str = ""
    span: str = Span.USUAL.value
    first: date | None = None
    last: date | None = None

    def __post_init__(self) -> None:
        if self.span:
            Span(self.span)
        elif self.first is None or self.last is None or self.first > self.last:
            raise ValueError("a period is a span, or two days in order")

    @classmethod
    def of(cls, reckoning: FaultReckoning) -> "FaultChoice":
        days = (None, None) if reckoning.span else (reckoning.first_on, reckoning.last_on)
        return cls(Basis(reckoning.basis), reckoning.family, reckoning.span, *days)

    def days(self, today: date) -> tuple[date, date]:
        """First and last day on a day of the plant's."""
        if self.first is not None and self.last is not None and not self.span:
            return self.first, self.last
        return span_days(Span(self.span), today)


def span_days(span: Span, today: date) -> tuple[date, date]:
    """The days of a span that ends today: 3 months to 14 May are 15 February to 14 May."""
    months = int(span.value.split()[0])
    number = today.year * 12 + today.month - 1 - months
    year, month = number // 12, number % 12 + 1
    day = min(today.day, monthrange(year, month)[1])
    return max(FIRST_DAY, date(year, month, day) + timedelta(days=1)), today
