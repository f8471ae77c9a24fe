"""What shifts add up to, and which way brings one back."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workorders.shift_ways import (
    End,
    Moved,
    Shift,
    Way,
    is_unlikely,
    skew_mm,
    sums_of,
    ways_fit,
)

TENTHS = st.integers(1, 5000).map(lambda tenths: tenths / 10)
SHIFTS = st.builds(
    Shift,
    station=st.sampled_from(["C12", "C13", "Head"]),
    moved=st.sampled_from(Moved),
    end=st.sampled_from(End),
    way=st.sampled_from(Way),
    mm=TENTHS,
)


def frame(end: End, way: Way, mm: float, station: str = "C12") -> Shift:
    return Shift(station, Moved.FRAME, end, way, mm)


def back(shift: Shift) -> Shift:
    return Shift(shift.station, shift.moved, shift.end, shift.way.reverse, shift.mm)


@pytest.mark.parametrize("way", Way)
def test_the_reverse_of_the_reverse_is_the_way_itself(way: Way) -> None:
    assert way.reverse is not way
    assert way.reverse.reverse is way
    assert way.sign == -way.reverse.sign
    assert way.forward is way.reverse.forward


@pytest.mark.parametrize(("end", "way"), list(product(End, Way)))
def test_an_end_that_can_go_one_way_can_come_back(end: End, way: Way) -> None:
    assert ways_fit(end, way) is ways_fit(end, way.reverse)


def test_one_end_goes_in_or_out_and_the_whole_goes_left_or_right() -> None:
    assert [end for end in End if ways_fit(end, Way.INWARD)] == [End.LEFT, End.RIGHT]
    assert [end for end in End if ways_fit(end, Way.TO_LEFT)] == [End.BOTH]
    assert [end for end in End if ways_fit(end, Way.UP)] == list(End)


def test_two_steps_the_same_way_stand_as_one_of_both() -> None:
    (total,) = sums_of([frame(End.RIGHT, Way.WITH_TRAVEL, 3), frame(End.RIGHT, Way.WITH_TRAVEL, 3)])

    assert (total.mm, total.way, total.count) == (6, Way.WITH_TRAVEL, 2)


def test_a_larger_step_back_stands_the_other_way() -> None:
    (total,) = sums_of(
        [frame(End.LEFT, Way.WITH_TRAVEL, 2), frame(End.LEFT, Way.AGAINST_TRAVEL, 3.5)]
    )

    assert (total.mm, total.way) == (1.5, Way.AGAINST_TRAVEL)


def test_ends_things_and_directions_are_not_added_together() -> None:
    found = sums_of(
        [
            frame(End.LEFT, Way.WITH_TRAVEL, 2),
            frame(End.RIGHT, Way.WITH_TRAVEL, 2),
            frame(End.LEFT, Way.UP, 2),
            Shift("C12", Moved.ROLL, End.LEFT, Way.WITH_TRAVEL, 2),
            frame(End.LEFT, Way.WITH_TRAVEL, 2, station="C13"),
        ]
    )

    assert len(found) == 5


@given(st.lists(SHIFTS, max_size=12))
def test_bringing_every_shift_back_leaves_nothing(shifts: list[Shift]) -> None:
    found = sums_of([*shifts, *map(back, shifts)])

    assert all(one.mm == 0 for one in found)


@given(st.lists(SHIFTS, max_size=12))
def test_mirrored_ends_mirror_the_skew(shifts: list[Shift]) -> None:
    other = {End.LEFT: End.RIGHT, End.RIGHT: End.LEFT, End.BOTH: End.BOTH}
    mirrored = [Shift(one.station, one.moved, other[one.end], one.way, one.mm) for one in shifts]

    assert skew_mm(mirrored) == pytest.approx(-skew_mm(shifts))


def test_the_right_end_ahead_is_a_positive_skew() -> None:
    # diagnostics/mechanics: positive when the right end is displaced in local belt travel.
    assert skew_mm([frame(End.RIGHT, Way.WITH_TRAVEL, 3)]) == 3
    assert skew_mm([frame(End.LEFT, Way.WITH_TRAVEL, 3)]) == -3
    assert skew_mm([frame(End.BOTH, Way.WITH_TRAVEL, 3)]) == 0
    assert skew_mm([frame(End.LEFT, Way.UP, 3)]) == 0


def test_a_first_step_is_likely_and_a_hands_breadth_at_an_idler_is_asked_about() -> None:
    assert not is_unlikely(Moved.FRAME, 3)
    assert is_unlikely(Moved.FRAME, 80)
    assert not is_unlikely(Moved.CHUTE, 80)
