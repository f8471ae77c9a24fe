"""Weekly shifts as stretches of time, over midnight and over the change of the clocks.

When the clocks change is the IANA time zone database's word: in America/Halifax in 2027 on 14 March
(02:00 becomes 03:00) and 7 November (02:00 becomes 01:00), in Europe/Berlin in 2027 on 28 March.
"""

from datetime import UTC, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workorders.planning.outages.minutes import instant_of, minute_of
from workorders.planning.outages.plan import Span
from workorders.planning.outages.shifts import WeeklyShift, first_overlap, merged, shift_spans

HALIFAX = ZoneInfo("America/Halifax")
NIGHT = WeeklyShift(5, time(22), time(6))  # Saturday night
_EARLY = WeeklyShift(0, time(6), time(14))


def utc(month: int, day: int, hour: int, minute: int = 0) -> int:
    return minute_of(datetime(2027, month, day, hour, minute, tzinfo=UTC))


def of_week(*shifts: WeeklyShift, month: int, day: int) -> tuple[Span, ...]:
    starts = minute_of(datetime(2027, month, day, tzinfo=HALIFAX))
    return shift_spans(shifts, HALIFAX, starts, starts + 7 * 24 * 60)


def test_a_minute_is_counted_from_1970_in_any_zone():
    at = datetime(1970, 1, 2, 1, 30, 59, tzinfo=ZoneInfo("Europe/Berlin"))  # 00:30 UTC

    assert minute_of(at) == 24 * 60 + 30
    assert instant_of(minute_of(at)) == datetime(1970, 1, 2, 0, 30, tzinfo=UTC)


def test_an_instant_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="aware"):
        minute_of(datetime(2027, 1, 1))  # noqa: DTZ001


def test_a_shift_stays_at_its_time_on_the_wall_when_the_clocks_change():
    before = of_week(_EARLY, month=3, day=8)  # AST, four hours behind
    after = of_week(_EARLY, month=3, day=15)  # ADT, three hours behind

    assert before == (Span(utc(3, 8, 10), utc(3, 8, 18)),)
    assert after == (Span(utc(3, 15, 9), utc(3, 15, 17)),)


def test_a_night_shift_is_an_hour_shorter_in_march_and_longer_in_november():
    (march,) = of_week(NIGHT, month=3, day=8)
    (november,) = of_week(NIGHT, month=11, day=1)

    assert march == Span(utc(3, 14, 2), utc(3, 14, 9))
    assert november == Span(utc(11, 7, 1), utc(11, 7, 10))
    assert (march.minutes, november.minutes) == (7 * 60, 9 * 60)


def test_a_time_the_clocks_leave_out_is_read_an_hour_later():
    (span,) = of_week(WeeklyShift(6, time(2, 30), time(8)), month=3, day=8)

    assert span == Span(utc(3, 14, 6, 30), utc(3, 14, 11))  # 03:30 ADT


def test_a_shift_no_minute_is_left_of_does_not_take_place():
    assert of_week(WeeklyShift(6, time(2, 30), time(3, 15)), month=3, day=8) == ()


def test_a_time_shown_twice_is_the_first_of_both():
    (span,) = of_week(WeeklyShift(6, time(1, 30), time(8)), month=11, day=1)

    assert span.starts == utc(11, 7, 4, 30)  # 01:30 ADT


def test_a_night_shift_is_not_cut_at_midnight():
    midnight = minute_of(datetime(2027, 1, 10, tzinfo=HALIFAX))  # Sunday

    (span,) = shift_spans([NIGHT], HALIFAX, midnight, midnight + 60)

    assert span == Span(utc(1, 10, 2), utc(1, 10, 10))


def test_a_shift_that_ended_as_the_stretch_begins_is_no_part_of_it():
    six = minute_of(datetime(2027, 1, 10, 6, tzinfo=HALIFAX))

    assert shift_spans([NIGHT], HALIFAX, six, six + 60) == ()


def test_the_same_time_twice_is_a_whole_day():
    (span,) = of_week(WeeklyShift(2, time(7), time(7)), month=1, day=4)

    assert span.minutes == 24 * 60


def test_shifts_that_meet_are_one_stretch():
    late = WeeklyShift(0, time(14), time(22))

    assert of_week(_EARLY, late, month=1, day=4) == (Span(utc(1, 4, 10), utc(1, 5, 2)),)


def test_an_empty_stretch_is_refused():
    with pytest.raises(ValueError, match="ends after it starts"):
        shift_spans([NIGHT], HALIFAX, 100, 100)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (_EARLY, WeeklyShift(0, time(13), time(15))),
        (NIGHT, WeeklyShift(6, time(5), time(9))),
        (WeeklyShift(6, time(22), time(7)), _EARLY),
        (_EARLY, WeeklyShift(0, time(6), time(14))),
    ],
)
def test_shifts_that_share_time_are_found(one: WeeklyShift, other: WeeklyShift):
    assert set(first_overlap([other, one]) or ()) == {one, other}


def test_shifts_that_only_meet_do_not_overlap():
    assert first_overlap([_EARLY, WeeklyShift(0, time(14), time(22)), NIGHT]) is None
    assert first_overlap([WeeklyShift(6, time(22), time(6)), _EARLY]) is None
    assert first_overlap([]) is None


def test_an_eighth_day_of_the_week_is_refused():
    with pytest.raises(ValueError, match="weekday"):
        WeeklyShift(7, time(6), time(14))


_times = st.times().map(lambda one: one.replace(second=0, microsecond=0))
_shifts = st.lists(st.builds(WeeklyShift, st.integers(0, 6), _times, _times), max_size=6)
_zones = st.sampled_from(["America/Halifax", "Europe/Berlin", "Australia/Lord_Howe", "UTC"])


@settings(max_examples=60, deadline=None)
@given(_shifts, _zones, st.integers(utc(1, 1, 0), utc(1, 1, 0) + 3 * 365 * 24 * 60))
def test_any_shifts_come_back_as_a_clerk_would_read_them_off_the_wall(shifts, zone, from_minute):
    """Minute by minute (every 15 of them) against the shifts as the clock on the wall shows."""
    tz = ZoneInfo(zone)
    spans = shift_spans(shifts, tz, from_minute, from_minute + 4 * 24 * 60)

    for one, other in pairwise(spans):
        assert one.ends < other.starts
    for minute in range(from_minute, from_minute + 4 * 24 * 60, 15):
        wall = instant_of(minute).astimezone(tz)
        if _clocks_change_near(wall, tz):
            continue
        is_on = any(span.starts <= minute < span.ends for span in spans)
        assert is_on == any(_is_on(shift, wall) for shift in shifts), wall


def _clocks_change_near(wall: datetime, tz: ZoneInfo) -> bool:
    moment = wall.astimezone(UTC)
    offsets = {(moment + timedelta(hours=hours)).astimezone(tz).utcoffset() for hours in (-3, 0, 3)}
    return len(offsets) > 1


def _is_on(shift: WeeklyShift, wall: datetime) -> bool:
    now = wall.weekday() * 1440 + wall.hour * 60 + wall.minute
    begins = shift.weekday * 1440 + shift.begins_at.hour * 60 + shift.begins_at.minute
    ends = shift.weekday * 1440 + shift.ends_at.hour * 60 + shift.ends_at.minute
    if ends <= begins:
        ends += 1440
    return begins <= now < ends or begins <= now + 7 * 1440 < ends


@given(st.lists(st.builds(lambda a, b: Span(a, a + b), st.integers(0, 99), st.integers(1, 20))))
def test_merging_keeps_every_minute_and_no_other(spans):
    kept = merged(spans)

    assert {m for one in spans for m in range(one.starts, one.ends)} == {
        m for one in kept for m in range(one.starts, one.ends)
    }
    assert merged(kept) == kept
