"""Hours of a meter where it has them, those of the calendar where it has not."""

from datetime import UTC, datetime, timedelta

import pytest

from plant.metering.readings import Reading, WentOn
from workorders.planning.running_clock import CALENDAR, clock_for, clock_of

START = datetime(2026, 1, 1, tzinfo=UTC)


def day(count: float) -> datetime:
    return START + timedelta(days=count)


def test_hours_are_spread_evenly_between_readings_and_go_on_at_the_average():
    clock = clock_of([Reading(day(0), 500), Reading(day(10), 620), Reading(day(30), 980)])

    assert clock.is_running
    assert clock.hours_at(day(5)) - clock.hours_at(day(0)) == pytest.approx(60)
    assert clock.hours_at(day(20)) - clock.hours_at(day(10)) == pytest.approx(180)
    # 480 h in 30 days.
    assert clock.hours_at(day(40)) - clock.hours_at(day(30)) == pytest.approx(160)
    assert clock.at_hours(clock.hours_at(day(77))) == pytest.approx(
        day(77), abs=timedelta(seconds=1)
    )


def test_before_the_first_reading_the_calendar_counts():
    clock = clock_of([Reading(day(0), 500), Reading(day(30), 980)])

    assert clock_for(clock, [day(1)]) is clock
    assert clock_for(clock, [day(1), day(-1)]) is CALENDAR
    assert CALENDAR.hours_at(day(2)) - CALENDAR.hours_at(day(0)) == pytest.approx(48)


@pytest.mark.parametrize(
    "readings",
    [
        [],
        [Reading(day(0), 500)],
        [Reading(day(0), 500), Reading(day(13), 600)],
        [Reading(day(0), 500), Reading(day(60), 500)],
        [
            Reading(day(0), 500),
            Reading(day(100), None, WentOn.REPLACED, new_first=0),
            Reading(day(110), 90),
        ],
    ],
    ids=["none", "one", "two weeks are not covered", "it stood", "a gap and ten days"],
)
def test_a_meter_that_says_too_little_leaves_it_to_the_calendar(readings):
    assert clock_of(readings) is CALENDAR


def test_a_day_beyond_a_hundred_years_is_none():
    assert CALENDAR.at_hours(1e9) is None
    assert CALENDAR.at_hours(CALENDAR.hours_at(day(100))) == day(100)
