"""Cases counted over time."""

from datetime import date

import pytest

from diagnostics.recurrence import trend_tables
from diagnostics.recurrence.trend_tables import Cell, Grain, TrendEvent
from diagnostics.selectors.trends import Period

YEAR = Period(date(2026, 1, 1), date(2026, 12, 31))


def event(on: str, zone: str = "tail", family: str = "tail_pulley", *, repeat: bool = False):
    return TrendEvent(date.fromisoformat(on), zone, family, repeat)


def test_cases_are_counted_month_by_month_with_empty_months_kept() -> None:
    events = [event("2026-01-31"), event("2026-03-01", repeat=True), event("2026-03-31")]

    table = trend_tables.count_all(events, date(2026, 1, 15), date(2026, 4, 2))

    assert table.grain is Grain.MONTH
    assert [f"{one:%Y-%m}" for one in table.stretches] == [
        "2026-01",
        "2026-02",
        "2026-03",
        "2026-04",
    ]
    assert table.rows[""] == (Cell(1, 0), Cell(0, 0), Cell(2, 1), Cell(0, 0))


def test_events_outside_the_period_do_not_count_even_in_its_months() -> None:
    events = [event("2026-01-14"), event("2026-01-15"), event("2026-01-20"), event("2026-01-21")]

    table = trend_tables.count_all(events, date(2026, 1, 15), date(2026, 1, 20))

    assert table.total_of("") == Cell(2, 0)


def test_rows_stand_in_the_order_of_travel_and_the_unknown_last() -> None:
    events = [event("2026-01-01", zone) for zone in ("", "head", "attic", "tail")]

    table = trend_tables.count_by_zone(events, YEAR.first, YEAR.last, ["tail", "head", "bend"])

    assert list(table.rows) == ["tail", "head", "attic", ""]


@pytest.mark.parametrize("count", [trend_tables.count_by_zone, trend_tables.count_by_family])
def test_rows_add_up_to_all_cases(count) -> None:
    events = [
        event(f"2026-{month:02d}-10", zone, family, repeat=month % 3 == 0)
        for month in range(1, 13)
        for zone, family in (("tail", "loading"), ("head", "head_pulley"), ("", ""))
    ]

    table = count(events, YEAR.first, YEAR.last, ["tail", "head", "loading"])

    everything = trend_tables.count_all(events, YEAR.first, YEAR.last).total_of("")
    totals = [table.total_of(row) for row in table.rows]
    assert sum(one.cases for one in totals) == everything.cases == 36
    assert sum(one.repeats for one in totals) == everything.repeats == 12


@pytest.mark.parametrize(
    ("first", "last", "grain", "how_many"),
    [
        ("2026-01-01", "2026-01-01", Grain.MONTH, 1),
        ("2025-01-01", "2026-12-31", Grain.MONTH, 24),
        ("2024-12-31", "2026-12-31", Grain.QUARTER, 9),
        ("2019-01-01", "2026-12-31", Grain.QUARTER, 32),
        ("2018-12-31", "2026-12-31", Grain.YEAR, 9),
    ],
)
def test_longer_periods_are_counted_in_longer_stretches(
    first: str, last: str, grain: Grain, how_many: int
) -> None:
    days = date.fromisoformat(first), date.fromisoformat(last)

    table = trend_tables.count_all([event(first), event(last)], *days)

    assert (table.grain, len(table.stretches)) == (grain, how_many)
    assert table.total_of("").cases == 2


def test_a_period_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(ValueError, match="last must not be before first"):
        trend_tables.stretches_of(date(2026, 2, 1), date(2026, 1, 1), Grain.MONTH)
