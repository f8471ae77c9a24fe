"""Amounts between instants, and what a meter cannot have shown; figures counted by hand."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plant.metering.amounts import Amount, amount_between, latest_stretch
from plant.metering.plausibility import Fault, ImplausibleReading, check_step
from plant.metering.readings import Lack, MeterQuantity, Reading, WentOn, lacks
from plant.metering.unknowns import Unknown

START = datetime(2026, 3, 1, tzinfo=UTC)
HOURS, TONNES = MeterQuantity.RUNNING_HOURS, MeterQuantity.TONNES


def day(count: float) -> datetime:
    return START + timedelta(days=count)


def shown(at: float, figure: float | None) -> Reading:
    return Reading(day(at), figure)


def rolled(at: float, figure: float, digits: int) -> Reading:
    return Reading(day(at), figure, WentOn.ROLLED_OVER, digits=digits)


def replaced(at: float, figure: float | None, new_first: float) -> Reading:
    return Reading(day(at), figure, WentOn.REPLACED, new_first=new_first)


def between(readings: list[Reading], first: float, last: float) -> Amount:
    return amount_between(readings, day(first), day(last))


class TestAmounts:
    def test_between_readings_it_is_spread_evenly(self):
        readings = [shown(0, 100), shown(10, 220), shown(20, 220)]

        assert between(readings, 0, 10).value == pytest.approx(120)
        assert between(readings, 2.5, 5).value == pytest.approx(30)
        # 5 of the 10 days of the first stretch; it stood still in the second.
        assert between(readings, 5, 20).value == pytest.approx(60)

    def test_a_meter_of_five_digits_goes_on_from_nought(self):
        # 99,990 to 99,999 are 9, one more is the step to 00,000, then 84.5.
        assert between([shown(0, 99_990), rolled(5, 84.5, 5)], 0, 5).value == pytest.approx(94.5)

    def test_a_new_meter_is_counted_from_its_own_first_figure(self):
        readings = [shown(0, 9000), replaced(10, 9100, 3), shown(20, 53)]

        assert between(readings, 0, 20).value == pytest.approx(100 + 50)

    def test_a_meter_that_nobody_had_read_leaves_a_gap(self):
        readings = [shown(0, 9000), replaced(10, None, 3), shown(20, 53)]

        assert between(readings, 10, 20).value == pytest.approx(50)
        assert between(readings, 9, 20) == Amount(None, Unknown.NOT_READ, day(10))

    def test_before_the_first_and_after_the_last_nothing_is_known(self):
        readings = [shown(1, 100), shown(2, 110)]

        assert between(readings, 0.9, 2) == Amount(None, Unknown.BEFORE_FIRST, day(1))
        assert between(readings, 1, 2.1) == Amount(None, Unknown.AFTER_LAST, day(2))
        assert between([], 1, 2) == Amount(None, Unknown.NO_READINGS)

    def test_no_time_is_no_amount(self):
        assert between([shown(0, 5), shown(1, 9)], 0.5, 0.5).value == 0
        assert between([shown(0, 5)], 0, 0).value == 0

    def test_time_running_backwards_is_refused(self):
        with pytest.raises(ValueError, match="before first"):
            between([shown(0, 5)], 1, 0)

    @given(
        st.lists(st.floats(0, 24), min_size=1, max_size=12),
        st.floats(0, 1),
        st.floats(0, 1),
    )
    def test_parts_add_up_to_the_whole(self, daily, one, other):
        total, readings = 0.0, [shown(0, 0)]
        for number, hours in enumerate(daily, start=1):
            total += hours
            readings.append(shown(number, total))
        low, high = sorted((one * len(daily), other * len(daily)))

        parts = [between(readings, *pair).value for pair in ((0, low), (low, high), (high, number))]

        assert sum(parts) == pytest.approx(total, abs=1e-6)


class TestLatestStretch:
    def test_it_is_cut_to_the_period(self):
        found = latest_stretch([shown(0, 0), shown(10, 100), shown(20, 120)], day(5), day(40))

        assert (found.first, found.last) == (day(5), day(20))
        assert found.value == pytest.approx(50 + 20)

    def test_it_begins_after_the_last_gap(self):
        readings = [shown(0, 0), shown(5, 50), replaced(10, None, 0), shown(20, 30), shown(30, 40)]
        found = latest_stretch(readings, day(0), day(30))

        assert (found.first, found.last, found.value) == (day(10), day(30), 40)

    def test_there_is_none_without_two_readings_in_the_period(self):
        assert latest_stretch([shown(0, 0)], day(0), day(9)) is None
        assert latest_stretch([shown(0, 0), shown(1, 3)], day(2), day(9)) is None


class TestPlausibility:
    @pytest.mark.parametrize(
        ("before", "reading"),
        [
            (None, shown(0, 5)),
            (None, replaced(0, None, 5)),
            (shown(0, 100), shown(1, 100)),
            (shown(0, 100), shown(1, 124)),
            # Whole hours of both: 100.9 to 125.1 are 24.2 h, and show 25.
            (shown(0, 100), shown(1, 125)),
            (shown(0, 99_990), rolled(1, 4, 5)),
            (shown(0, 99_990), replaced(1, 99_999, 0)),
            (replaced(0, 99_999, 0), shown(1, 20)),
        ],
    )
    def test_what_can_be_is_taken(self, before, reading):
        check_step(HOURS, before, reading)

    @pytest.mark.parametrize(
        ("before", "reading", "fault"),
        [
            (shown(0, 100), shown(1, 99), Fault.BACKWARDS),
            (shown(0, 100), replaced(1, 99, 0), Fault.BACKWARDS),
            (shown(0, 100), shown(1, 125.1), Fault.MORE_THAN_THE_CLOCK),
            (shown(0, 99_000), rolled(1, 4, 5), Fault.MORE_THAN_THE_CLOCK),
            (None, rolled(1, 4, 5), Fault.NOTHING_BEFORE),
            (shown(0, 99_990), rolled(1, 99_991, 5), Fault.NOT_ROLLED_OVER),
            (shown(0, 123_456), rolled(1, 4, 5), Fault.BEYOND_DIGITS),
        ],
    )
    def test_what_cannot_be_is_refused(self, before, reading, fault):
        with pytest.raises(ImplausibleReading) as refusal:
            check_step(HOURS, before, reading)

        assert refusal.value.fault is fault

    def test_a_day_may_bring_any_tonnes(self):
        check_step(TONNES, shown(0, 100), shown(1, 90_000))


@pytest.mark.parametrize(
    ("went_on", "given", "found"),
    [
        (WentOn.USUAL, "f", []),
        (WentOn.USUAL, "", [Lack.FIGURE]),
        (WentOn.USUAL, "fdn", [Lack.DIGITS_UNASKED, Lack.NEW_FIRST_UNASKED]),
        (WentOn.ROLLED_OVER, "fd", []),
        (WentOn.ROLLED_OVER, "d", [Lack.FIGURE]),
        (WentOn.ROLLED_OVER, "f", [Lack.DIGITS]),
        (WentOn.REPLACED, "n", []),
        (WentOn.REPLACED, "f", [Lack.NEW_FIRST]),
    ],
)
def test_the_parts_of_a_reading_go_together(went_on, given, found):
    assert found == lacks(
        went_on, has_figure="f" in given, has_digits="d" in given, has_new_first="n" in given
    )
