"""Which days a period that moves with the day has."""

from datetime import date

import pytest

from diagnostics.fault_choice import FaultChoice, Span, span_days
from diagnostics.models import FaultReckoning
from plant.metering.basis import Basis


@pytest.mark.parametrize(
    ("span", "today", "first"),
    [
        (Span.QUARTER, date(2026, 5, 14), date(2026, 2, 15)),
        (Span.USUAL, date(2026, 11, 28), date(2025, 5, 29)),
        (Span.YEAR, date(2026, 1, 31), date(2025, 2, 1)),
        # The month before has no such day.
        (Span.QUARTER, date(2026, 5, 31), date(2026, 3, 1)),
        (Span.HALF, date(2024, 8, 31), date(2024, 3, 1)),
        (Span.LONG, date(2026, 12, 31), date(2024, 1, 1)),
    ],
)
def test_a_span_ends_today_and_begins_the_day_after_its_months(span, today, first):
    assert span_days(span, today) == (first, today)


def test_two_fixed_days_stay_as_they_are():
    days = date(2026, 1, 5), date(2026, 2, 6)

    assert FaultChoice(span="", first=days[0], last=days[1]).days(date(2026, 9, 9)) == days


@pytest.mark.parametrize(
    "given",
    [
        {"span": ""},
        {"span": "", "first": date(2026, 2, 2), "last": date(2026, 2, 1)},
        {"span": "5 weeks"},
    ],
)
def test_a_choice_without_a_period_is_refused(given):
    with pytest.raises(ValueError):  # noqa: PT011
        FaultChoice(**given)


def test_the_choice_of_a_reckoning_is_read_back_from_its_row():
    row = FaultReckoning(
        family="loading",
        basis=Basis.TONNES.value,
        span="",
        first_on=date(2026, 1, 1),
        last_on=date(2026, 3, 1),
    )

    assert FaultChoice.of(row) == FaultChoice(
        Basis.TONNES, "loading", "", date(2026, 1, 1), date(2026, 3, 1)
    )
