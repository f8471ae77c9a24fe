"""A belt's clock between readings, over gaps and at the edges; amounts counted by hand."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plant.metering.basis import Basis
from plant.metering.clocks import BeltClock, Gap, Stretch, calendar_clock, metered_clock
from plant.metering.columns import columns_of
from plant.metering.readings import Reading, WentOn, rise
from plant.metering.unknowns import Unknown

START = datetime(2026, 3, 1, tzinfo=UTC)


def day(count: float) -> datetime:
    return START + timedelta(days=count)


def shown(at: float, figure: float | None) -> Reading:
    return Reading(day(at), figure)


def replaced(at: float, figure: float | None, new_first: float) -> Reading:
    return Reading(day(at), figure, WentOn.REPLACED, new_first=new_first)


def clock(readings: list[Reading], first: float, last: float) -> BeltClock:
    return metered_clock(Basis.RUNNING, columns_of(readings), day(first), day(last))


# Read at day 0 with 100 h, at day 10 with 220 h; replaced unread at day 20, read again at day 30.
BROKEN = [shown(0, 100), shown(10, 220), replaced(20, None, 5), shown(30, 65)]


def test_a_gap_is_cut_out_and_the_clock_goes_on_after_it_from_where_it_stood():
    one = clock(BROKEN, 0, 30)

    assert one.total == pytest.approx(120 + 60)
    assert one.at(day(5)) == pytest.approx(60)
    assert one.at(day(10)) == pytest.approx(120)
    assert one.at(day(15)) is None
    assert one.at(day(20)) == pytest.approx(120)
    assert one.at(day(25)) == pytest.approx(150)
    assert one.at(day(30)) == pytest.approx(180)


def test_the_gap_says_how_long_it_is_and_why():
    one = clock(BROKEN, 0, 30)

    assert one.gaps == (Gap(day(10), day(20), Unknown.NOT_READ, day(20)),)
    assert one.unknown_days == pytest.approx(10)
    assert one.gap_at(day(12)) == one.gaps[0]
    assert one.gap_at(day(9)) is None


def test_all_known_parts_are_told_in_order():
    one = clock(BROKEN, 5, 25)

    assert one.stretches == (Stretch(day(5), day(10), 60), Stretch(day(20), day(25), 30))


def test_a_period_that_begins_before_the_first_reading_and_ends_after_the_last():
    one = clock([shown(10, 7), shown(20, 57)], 4, 32)

    assert [gap.why for gap in one.gaps] == [Unknown.BEFORE_FIRST, Unknown.AFTER_LAST]
    assert [gap.days for gap in one.gaps] == [6, 12]
    assert [gap.at for gap in one.gaps] == [day(10), day(20)]
    assert one.stretches == (Stretch(day(10), day(20), 50),)
    assert one.at(day(9)) is None
    assert one.at(day(12)) == pytest.approx(10)


def test_readings_outside_the_period_count_with_their_share():
    # 240 h in 20 days are 12 h a day, of which 5 lie in the period.
    assert clock([shown(0, 0), shown(20, 240)], 10, 15).total == pytest.approx(60)


def test_a_meter_of_five_digits_goes_on_from_nought():
    readings = [shown(0, 99_990), Reading(day(5), 84.5, WentOn.ROLLED_OVER, digits=5)]

    # 9 up to 99,999, one to 00,000, then 84.5.
    assert clock(readings, 0, 5).total == pytest.approx(94.5)


def test_a_replaced_meter_that_was_read_leaves_no_gap():
    one = clock([shown(0, 9000), replaced(10, 9100, 3), shown(20, 53)], 0, 20)

    assert (one.total, one.gaps) == (pytest.approx(150), ())
    assert len(one.stretches) == 1


def test_two_meters_gone_unread_one_after_the_other_are_two_gaps():
    one = clock([shown(0, 0), replaced(5, None, 1), replaced(9, None, 2), shown(10, 22)], 0, 10)

    assert [(gap.days, gap.at) for gap in one.gaps] == [(5, day(5)), (4, day(9))]
    assert one.total == pytest.approx(20)


def test_without_readings_nothing_is_known():
    one = clock([], 0, 10)

    assert not one.is_known
    assert one.gaps == (Gap(day(0), day(10), Unknown.NO_READINGS),)
    assert one.stretches == ()
    assert one.at(day(5)) is None


def test_a_single_reading_tells_no_amount():
    one = clock([shown(5, 100)], 0, 10)

    assert not one.is_known
    assert [gap.why for gap in one.gaps] == [Unknown.BEFORE_FIRST, Unknown.AFTER_LAST]


def test_a_belt_that_stood_has_a_known_exposure_of_nothing():
    one = clock([shown(0, 100), shown(10, 100)], 0, 10)

    assert (one.is_known, one.total, one.gaps) == (True, 0, ())
    assert one.at(day(5)) == 0


def test_equal_instants_and_instants_of_a_stop_show_the_same():
    one = clock([shown(0, 0), shown(10, 100), shown(20, 100), shown(30, 130)], 0, 30)

    assert one.at_many([day(12), day(12), day(18)]).tolist() == pytest.approx([100, 100, 100])


def test_readings_at_one_instant_make_no_time_between_them():
    one = clock([shown(0, 0), shown(10, 100), shown(10, 100), shown(20, 150)], 0, 20)

    assert one.total == pytest.approx(150)
    assert len(one.stretches) == 1


def test_outside_the_period_the_clock_says_nothing():
    one = clock([shown(0, 0), shown(30, 300)], 10, 20)

    assert one.at(day(9.999)) is None
    assert one.at(day(20.001)) is None
    assert (one.at(day(10)), one.at(day(20))) == (0, pytest.approx(100))


def test_the_calendar_counts_days_as_they_go_by_even_when_clocks_on_the_wall_change():
    berlin = ZoneInfo("Europe/Berlin")

    # 2026-03-29 has 23 hours there.
    one = calendar_clock(datetime(2026, 3, 29, tzinfo=berlin), datetime(2026, 3, 30, tzinfo=berlin))

    assert one.total == pytest.approx(23 / 24)
    assert one.at(datetime(2026, 3, 29, 12, tzinfo=berlin)) == pytest.approx(11 / 24)
    assert one.gaps == ()


def test_a_period_that_ends_before_it_begins_is_refused():
    with pytest.raises(ValueError, match="before first"):
        calendar_clock(day(2), day(1))


def test_a_period_of_no_length_is_known_to_hold_nothing_more():
    one = clock([shown(0, 0), shown(10, 100)], 5, 5)

    assert (one.total, one.gaps, one.stretches) == (0, (), ())


_STEPS = st.lists(
    st.tuples(st.integers(1, 20), st.sampled_from(["on", "roll", "unread"]), st.integers(0, 400)),
    max_size=8,
)


def _kept(steps: list[tuple[int, str, int]]) -> list[Reading]:
    readings, at, figure = [shown(0, 500)], 0, 500
    for days, way, more in steps:
        at += days
        if way == "on":
            figure += more
            readings.append(shown(at, figure))
        elif way == "roll":
            figure = min(more, figure)
            readings.append(Reading(day(at), figure, WentOn.ROLLED_OVER, digits=4))
        else:
            figure = more
            readings.append(replaced(at, None, more))
    return readings


@given(_STEPS)
def test_columns_count_between_readings_as_the_readings_do(steps):
    readings = _kept(steps)

    found = columns_of(readings).rises()

    one_by_one = [rise(*pair) for pair in pairwise(readings)]
    assert [None if np.isnan(one) else one for one in found] == one_by_one


@given(_STEPS, st.floats(-5, 100), st.floats(0, 100), st.floats(0, 1))
def test_a_clock_cut_in_two_counts_the_same(steps, first, length, share):
    readings, middle, last = _kept(steps), first + share * length, first + length

    whole = clock(readings, first, last)
    parts = [clock(readings, first, middle), clock(readings, middle, last)]

    assert whole.total == pytest.approx(sum(one.total for one in parts))
    assert whole.unknown_days == pytest.approx(sum(one.unknown_days for one in parts), abs=1e-6)


@given(_STEPS, st.floats(-5, 100), st.floats(0, 100))
def test_known_and_unknown_parts_fill_the_period(steps, first, length):
    one = clock(_kept(steps), first, first + length)

    known = sum((part.last - part.first).total_seconds() for part in one.stretches) / 86_400
    assert known + one.unknown_days == pytest.approx(one.watched_days, abs=1e-6)
