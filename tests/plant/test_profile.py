"""Heights along the carrying run: what is refused, and how far things stand on a plan."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plant.loop.profile import ProfileError, profile_of, profile_of_levels


def test_a_three_four_five_triangle_is_four_metres_long_on_the_plan():
    profile = profile_of([(0, 10), (5, 13), (10, 13)])

    assert profile.horizontal_at(5) == pytest.approx(4)
    assert profile.horizontal_at(10) == pytest.approx(9)
    assert profile.height_at(2.5) == pytest.approx(11.5)
    assert profile.rise_m == 3
    assert profile.slopes_rad[0] == pytest.approx(math.asin(0.6))


def test_a_survey_is_turned_into_metres_along_the_belt():
    profile = profile_of_levels([(0, 0), (4, 3), (16, 8)])

    assert [one.position_m for one in profile.points] == [0, 5, 18]


@given(
    st.lists(st.tuples(st.floats(0.5, 300), st.floats(-0.9, 0.9)), min_size=1, max_size=12),
)
def test_along_the_belt_and_on_the_plan_are_two_ways_to_say_the_same(stretches):
    levels, at_m, height_m = [(0.0, 50.0)], 0.0, 50.0
    for across, slope in stretches:
        at_m, height_m = at_m + across, height_m + slope * across
        levels.append((at_m, height_m))

    profile = profile_of_levels(levels)

    # Positions are kept to the millimetre.
    assert profile.across_m == pytest.approx([across for across, _ in levels], abs=0.05)
    assert profile.horizontal_at(profile.end_m) == pytest.approx(at_m, abs=0.05)


def test_beyond_its_points_the_run_goes_on_level():
    profile = profile_of([(10, 4), (20, 6)])

    assert profile.height_at(0) == 4
    assert profile.height_at(99) == 6
    assert profile.horizontal_at(10) == 10


@pytest.mark.parametrize(
    ("points", "code", "row"),
    [
        ([], "too_few", 1),
        ([(0, 0)], "too_few", 1),
        ([(0, 0), (0, 1)], "not_in_order", 2),
        ([(0, 0), (9, 1), (5, 1)], "not_in_order", 3),
        ([(-1, 0), (9, 1)], "position_off_the_run", 1),
        ([(0, 0), (math.nan, 1)], "position_off_the_run", 2),
        ([(0, 0), (9, math.inf)], "height_off_the_earth", 2),
        ([(0, 0), (5, 5)], "steeper_than_upright", 2),
        ([(one, 0) for one in range(201)], "too_many", 201),
    ],
)
def test_what_cannot_be_a_profile_is_refused_with_its_line(points, code, row):
    with pytest.raises(ProfileError) as refusal:
        profile_of(points)

    assert (refusal.value.code, refusal.value.row) == (code, row)
