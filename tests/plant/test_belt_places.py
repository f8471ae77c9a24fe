"""Where a place of the belt is on the loop at one instant."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plant.loop.belt_places import Instant, loop_position_m

FIGURES = {"belt_length_m": 400.0, "loop_length_m": 400.0, "speed_mps": 2.0}


@pytest.mark.parametrize(
    ("belt_position_m", "instant", "expected_m"),
    [
        # Splice 0 at the tail: what is 30 m ahead of it on the belt is 30 m along the loop.
        (30, Instant(0, 0), 30),
        (0, Instant(0, 0, later_s=5), 10),
        # Splice at 100 m of the belt stands at the head, 180 m; its neighbours round it.
        (90, Instant(100, 180), 170),
        (100, Instant(100, 180), 180),
        # Over the seam.
        (390, Instant(100, 180), 70),
        (0, Instant(0, 390, later_s=10), 10),
    ],
)
def test_what_is_ahead_on_the_belt_is_ahead_on_the_loop(belt_position_m, instant, expected_m):
    assert loop_position_m(belt_position_m, instant, **FIGURES) == pytest.approx(expected_m)


@given(st.floats(0, 410), st.floats(0, 410), st.floats(0, 399))
def test_after_one_turn_everything_is_where_it_was(place_m, splice_m, at_m):
    figures = {"belt_length_m": 410.0, "loop_length_m": 400.0, "speed_mps": 2.5}
    now = loop_position_m(place_m, Instant(splice_m, at_m), **figures)
    later = loop_position_m(place_m, Instant(splice_m, at_m, 410 / 2.5), **figures)

    assert abs((now - later + 200) % 400 - 200) < 1e-6
    assert loop_position_m(splice_m, Instant(splice_m, at_m), **figures) == pytest.approx(at_m)
