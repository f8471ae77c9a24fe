"""Which readings of condition cannot be, and which are only asked about."""

import math

import pytest

from plant.loop.condition import Doubt, Quantity, cannot_be, doubts_of, kinds_of
from plant.loop.vocabulary import ComponentKind

LAGGING, SHELL = Quantity.LAGGING_THICKNESS, Quantity.ROLL_SHELL_THICKNESS
TEMPERATURE = Quantity.BEARING_TEMPERATURE


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, -0.1])
def test_less_than_nothing_and_no_number_cannot_be(value):
    assert cannot_be(LAGGING, value)


def test_frost_can_be():
    assert not cannot_be(TEMPERATURE, -12.0)
    assert not cannot_be(LAGGING, 0.0)


@pytest.mark.parametrize("value", [0.0, 6.0, 2.5, -1.0])
def test_a_noise_grade_is_a_whole_number_from_1_to_5(value):
    assert cannot_be(Quantity.NOISE_GRADE, value)
    assert not any(cannot_be(Quantity.NOISE_GRADE, float(one)) for one in range(1, 6))


@pytest.mark.parametrize(
    ("quantity", "value"),
    [
        (LAGGING, 115.0),
        (SHELL, 40.0),
        (TEMPERATURE, 250.0),
        (Quantity.CARRY_COVER_THICKNESS, 200.0),
        (Quantity.TAKE_UP_TRAVEL_USED, 900.0),
    ],
)
def test_a_figure_in_another_unit_or_with_a_slipped_point_is_asked_about(quantity, value):
    assert doubts_of(quantity, value) == (Doubt.BEYOND_LIKELY,)
    assert doubts_of(quantity, value / 100) == ()


@pytest.mark.parametrize(
    ("value", "before", "was_replaced", "is_asked"),
    [
        (11.0, 9.0, False, True),
        (11.0, 9.0, True, False),
        (9.4, 9.0, False, False),
        (8.0, 9.0, False, False),
        (11.0, None, False, False),
    ],
)
def test_rubber_and_steel_do_not_grow_unless_renewed(value, before, was_replaced, is_asked):
    asked = doubts_of(LAGGING, value, before=before, was_replaced=was_replaced)

    assert (Doubt.GROWN in asked) is is_asked


def test_a_bearing_may_be_warmer_than_before():
    assert doubts_of(TEMPERATURE, 71.0, before=40.0) == ()


def test_a_place_where_nobody_reads_it_is_asked_about():
    assert doubts_of(LAGGING, 9.0, kind=ComponentKind.BELT_CLEANER) == (Doubt.ODD_PLACE,)
    assert doubts_of(LAGGING, 9.0, kind=ComponentKind.DRIVE_PULLEY) == ()
    assert all(kinds_of(one) for one in Quantity if not one.is_of_belt)
