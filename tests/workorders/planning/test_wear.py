"""Wear rate and remaining life: directions, replacement, slips, few readings, limits."""

import math

import numpy as np
import pytest

from plant.loop.condition import Quantity
from workorders.planning.readings import Direction, Limit, Reading, direction_of
from workorders.planning.wear import Wear, WearRemark, WearState, wear_of

LAGGING = Limit(4.0, Direction.FALLS)
RUNS = 2000


def readings_of(values, start: float = 0.0, every: float = 1000.0) -> list[Reading]:
    return [Reading(start + every * number, value) for number, value in enumerate(values)]


def worn(values, *, limit: Limit = LAGGING, now: float | None = None, **more) -> Wear:
    readings = readings_of(values)
    return wear_of(readings, limit, now=readings[-1].at if now is None else now, **more)


def test_lagging_that_loses_a_millimetre_in_a_thousand_hours_meets_its_limit_when_it_must():
    wear = worn([12.0, 11.1, 9.9, 9.0, 8.1, 6.9])

    assert wear.state is WearState.WEARING
    # 12 mm less 1 mm in 1000 h reaches 4 mm after 8000 h.
    assert wear.rate == pytest.approx(0.001, rel=0.03)
    assert wear.met_at == pytest.approx(8000, rel=0.03)
    assert wear.rate_lower < 0.001 < wear.rate_upper
    assert 5000 < wear.met_lower < 8000 < wear.met_upper
    assert wear.margin == pytest.approx(3.0, abs=0.1)


def test_what_rises_is_the_mirror_of_what_falls():
    falls = worn([12.0, 11.1, 9.9, 9.0, 8.1, 6.9])
    rises = worn([-12.0, -11.1, -9.9, -9.0, -8.1, -6.9], limit=Limit(-4.0, Direction.RISES))

    for name in ("state", "rate", "met_at", "met_lower", "met_upper", "margin", "remarks"):
        assert getattr(rises, name) == getattr(falls, name)


@pytest.mark.parametrize("quantity", Quantity)
def test_only_temperature_noise_and_take_up_travel_rise(quantity):
    rising = {
        Quantity.BEARING_TEMPERATURE,
        Quantity.NOISE_GRADE,
        Quantity.TAKE_UP_TRAVEL_USED,
    }

    assert direction_of(quantity) is (Direction.RISES if quantity in rising else Direction.FALLS)


def test_order_of_readings_is_nothing():
    readings = readings_of([12.0, 11.1, 9.9, 9.0, 8.1, 6.9])

    there = wear_of(readings, LAGGING, now=5000)
    back = wear_of(reversed(readings), LAGGING, now=5000)

    assert there == back


def test_another_unit_of_time_only_scales_the_answer():
    hours = worn([12.0, 11.1, 9.9, 9.0, 8.1, 6.9])
    days = wear_of(
        readings_of([12.0, 11.1, 9.9, 9.0, 8.1, 6.9], every=1000 / 24), LAGGING, now=5000 / 24
    )

    assert days.met_upper == pytest.approx(hours.met_upper / 24)
    assert days.rate == pytest.approx(24 * hours.rate)


def test_readings_before_the_last_replacement_do_not_count():
    old = readings_of([9.0, 8.0, 7.0, 6.0])
    new = readings_of([12.0, 11.4, 11.1, 10.4], start=3500)

    wear = wear_of(old + new, LAGGING, now=6500, renewed_at=[100, 3500, 99_999])

    assert wear.used == tuple(new)
    assert WearRemark.SINCE_RENEWAL in wear.remarks
    assert WearRemark.RENEWAL_SUSPECTED not in wear.remarks
    alone = wear_of(new, LAGGING, now=6500)
    assert (wear.rate, wear.met_at) == (alone.rate, alone.met_at)


def test_an_unrecorded_replacement_is_suspected():
    wear = worn([12.0, 11.1, 9.9, 9.0, 8.1, 12.1, 11.0, 9.9])

    assert WearRemark.RENEWAL_SUSPECTED in wear.remarks


def test_a_slip_is_set_aside_and_named_and_moves_nothing():
    clean = worn([12.0, 11.1, 9.9, 9.0, 8.1, 6.9])
    readings = readings_of([12.0, 11.1, 9.9, 9.0, 8.1, 6.9])
    slip = Reading(2500.0, 95.0)

    wear = wear_of([*readings, slip], LAGGING, now=5000)

    assert wear.set_aside == (slip,)
    assert wear.remarks == (WearRemark.SET_ASIDE,)
    assert (wear.rate, wear.met_at, wear.met_upper) == (
        clean.rate,
        clean.met_at,
        clean.met_upper,
    )


def test_a_last_reading_far_off_is_said_as_it_may_be_damage():
    wear = worn([12.0, 11.8, 11.7, 11.4, 11.2, 11.1, 7.0])

    assert WearRemark.LAST_SET_ASIDE in wear.remarks
    assert wear.state is WearState.WEARING


def test_a_last_reading_past_the_limit_is_never_explained_away():
    wear = worn([12.0, 11.8, 11.7, 11.4, 11.2, 11.1, 3.9])

    assert wear.state is WearState.PAST_LIMIT
    assert wear.met_at is None


def test_of_two_last_readings_the_worse_decides_about_the_limit():
    readings = [*readings_of([12.0, 9.0, 6.0, 4.6]), Reading(3000.0, 3.9)]

    assert wear_of(readings, LAGGING, now=3000).state is WearState.PAST_LIMIT


def test_the_limit_is_past_when_the_line_has_met_it_since_the_last_reading():
    wear = worn([12.0, 11.1, 9.9, 9.0, 8.1, 6.9], now=9000)

    assert wear.state is WearState.PAST_LIMIT
    assert wear.margin < 0


@pytest.mark.parametrize(
    ("values", "state"),
    [([], WearState.TOO_FEW), ([9.0], WearState.TOO_FEW), ([3.5], WearState.PAST_LIMIT)],
)
def test_fewer_than_two_readings_have_no_rate(values, state):
    wear = wear_of(readings_of(values), LAGGING, now=10)

    assert (wear.state, wear.rate, wear.met_at) == (state, None, None)
    assert wear.margin == (values[0] - 4 if values else None)


def test_readings_at_one_time_are_too_few_however_many():
    wear = wear_of([Reading(5.0, 9.0), Reading(5.0, 9.4)], LAGGING, now=10)

    assert (wear.state, wear.rate) == (WearState.TOO_FEW, None)
    assert wear.margin == pytest.approx(5.2)


def test_two_readings_give_a_rate_without_limits_and_say_so():
    wear = worn([12.0, 11.0])

    assert wear.met_at == pytest.approx(8000)
    assert (wear.rate_lower, wear.met_lower, wear.met_upper) == (None, None, None)
    assert WearRemark.NO_INTERVAL in wear.remarks


def test_two_readings_of_known_error_have_limits():
    wear = worn([12.0, 10.0], reading_error=0.2)

    assert wear.met_lower < wear.met_at < wear.met_upper
    assert WearRemark.NO_INTERVAL not in wear.remarks


def test_readings_rounded_onto_one_line_are_not_certain():
    wear = worn([12.0, 11.0, 10.0, 9.0])

    assert wear.met_at == pytest.approx(8000)
    assert wear.met_lower < 8000 < wear.met_upper


def test_what_does_not_wear_has_an_earliest_date_and_no_other():
    wear = worn([12.0, 11.9, 12.1, 12.0, 12.1, 12.0])

    assert (wear.state, wear.met_at, wear.met_upper) == (WearState.NOT_WEARING, None, None)
    assert wear.met_lower > 5000
    assert wear.rate_lower < 0 < wear.rate_upper


def test_what_gets_clearly_better_never_meets_the_limit():
    wear = worn([8.0, 9.1, 9.9, 11.0, 12.1, 13.0])

    assert (wear.state, wear.met_lower, wear.met_upper) == (WearState.NOT_WEARING, None, None)
    assert wear.rate_upper < 0


def test_wear_hardly_told_from_none_has_no_latest_date():
    wear = worn([12.0, 11.5, 12.2, 11.6, 12.1, 11.7])

    assert (wear.state, wear.met_upper) == (WearState.WEARING, None)
    assert wear.met_lower < wear.met_at


def test_a_limit_within_the_error_of_the_line_may_be_met_now():
    wear = worn([5.0, 4.2, 4.9, 4.1, 4.8, 4.2], now=5000)

    assert wear.state is WearState.WEARING
    assert wear.met_lower == 5000


def test_wear_that_speeds_up_is_said():
    assert WearRemark.SPEEDING_UP in worn([12.0, 11.9, 11.6, 11.1, 10.4, 9.5, 8.4]).remarks
    assert WearRemark.SLOWING_DOWN in worn([12.0, 10.9, 10.0, 9.3, 8.8, 8.5, 8.4]).remarks
    assert not worn([12.0, 11.0, 10.0, 9.0, 8.0, 7.0, 6.0]).remarks


def test_a_date_far_ahead_of_few_readings_is_said():
    assert WearRemark.LONG_REACH in worn([12.0, 11.9, 11.8, 11.7]).remarks


@pytest.mark.parametrize(
    "bad",
    [
        {"readings": [Reading(math.nan, 1.0)]},
        {"readings": [Reading(1.0, math.inf)]},
        {"readings": [Reading(11.0, 1.0)]},
        {"now": math.nan},
        {"reading_error": 0.0},
        {"level": 1.0},
    ],
)
def test_what_is_no_reading_is_refused(bad):
    given = {"readings": [Reading(1.0, 9.0)], "now": 10.0} | bad

    with pytest.raises(ValueError, match="got"):
        wear_of(given.pop("readings"), LAGGING, **given)


def test_a_limit_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="limit"):
        Limit(math.nan, Direction.FALLS)


@pytest.mark.slow
@pytest.mark.parametrize(("count", "slips"), [(6, 0), (12, 0), (12, 1)])
def test_limits_of_the_date_hold_as_often_as_they_say(count, slips):
    chance = np.random.default_rng(20261128)
    held = dated = 0
    for _ in range(RUNS):
        times = np.sort(chance.uniform(0, 6000, count))
        values = 12 - 0.0009 * times + chance.normal(0, 0.15, count)
        if slips:
            values[chance.integers(count - 1)] += chance.choice([-1, 1]) * 6
        pairs = zip(times.tolist(), values.tolist(), strict=True)
        wear = wear_of([Reading(*pair) for pair in pairs], LAGGING, now=6000)
        if wear.met_lower is not None:
            dated += 1
            latest = math.inf if wear.met_upper is None else wear.met_upper
            held += wear.met_lower <= 8 / 0.0009 <= latest

    assert dated > 0.99 * RUNS
    assert 0.86 <= held / dated <= 0.94
