"""When files are due, and what they are called."""

from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

import pytest

from plant.exchange import names, schedule

HALIFAX = ZoneInfo("America/Halifax")


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def test_minutes_count_from_the_last_time():
    due = schedule.next_due(at("2026-11-02T10:00"), HALIFAX, every_minutes=15, daily_at=None)

    assert due == at("2026-11-02T10:15")


# Halifax: 4 h behind UTC, 3 h from 8 March to 1 November 2026 (tz database).
@pytest.mark.parametrize(
    ("after", "daily_at", "due"),
    [
        ("2026-11-02T10:00", time(5, 30), "2026-11-03T09:30"),
        ("2026-11-02T09:29", time(5, 30), "2026-11-02T09:30"),
        ("2026-11-02T09:30", time(5, 30), "2026-11-03T09:30"),
        # The plant's day, not that of UTC.
        ("2026-11-03T02:00", time(23), "2026-11-03T03:00"),
        # Skipped in spring: an hour later by the clock. Twice in autumn: the first time, once.
        ("2026-03-08T05:00", time(2, 30), "2026-03-08T06:30"),
        ("2026-11-01T03:30", time(1, 30), "2026-11-01T04:30"),
        ("2026-11-01T04:30", time(1, 30), "2026-11-02T05:30"),
    ],
)
def test_a_time_of_day_is_the_plants_own_and_comes_once_a_day(after: str, daily_at: time, due: str):
    assert schedule.next_due(at(after), HALIFAX, daily_at=daily_at) == at(due)


def test_no_schedule_is_none():
    with pytest.raises(ValueError, match="every_minutes"):
        schedule.next_due(at("2026-11-02T10:00"), HALIFAX, every_minutes=0, daily_at=None)


def test_files_sorted_by_name_are_in_the_order_to_read_them():
    first = names.of_changes("work-orders", 7, 4710, "jsonl")
    snapshot = names.of_snapshot("work-orders", 4710, 1, 1, "jsonl")
    later = names.of_changes("work-orders", 4711, 99999, "jsonl")
    last = names.of_changes("work-orders", 100000, 100000, "jsonl")

    assert sorted([last, snapshot, later, first]) == [first, snapshot, later, last]
    assert names.is_snapshot_of("work-orders", snapshot)
    assert not names.is_snapshot_of("work-orders", later)


def test_what_is_written_aside_is_known_as_such():
    aside = names.aside("work-orders-000000000001-000000000002.csv", "a1b2")

    assert names.is_aside(aside)
    assert aside.startswith(".")
