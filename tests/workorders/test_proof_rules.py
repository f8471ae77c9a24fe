"""What must be watched after the work, and what the looks say."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.inference.vocabulary import LoadState
from workorders.proof_rules import MOST_STATIONS, Look, Watched, stations_to_watch, verdict

EMPTY, LOADED = LoadState.EMPTY, LoadState.LOADED
THREE = {EMPTY: 3, LOADED: 3}


def _look(station: str, at_m: float, share: float, load: LoadState = LOADED) -> Look:
    return Look(station, at_m, load, share)


def _both(station: str, share: float = 0.0) -> list[Look]:
    return [_look(station, 10, share, load) for load in LoadState]


def test_stations_that_were_off_are_watched_in_the_order_of_travel():
    before = [_look("R5", 117, -0.6), _look("C5", 20, 0.3), _look("C9", 40, 0.1)]

    assert [one.station for one in stations_to_watch(before)] == ["C5", "R5"]


def test_the_furthest_off_of_both_load_states_is_remembered():
    before = [_look("C5", 20, 0.3), _look("C5", 20, -0.7, EMPTY)]

    assert stations_to_watch(before) == (Watched("C5", 20, -0.7),)


@pytest.mark.parametrize(
    ("place", "place_m", "expected"),
    [("C7", 30.0, "C7"), ("c7", None, "C7"), ("", 31.0, "C7"), ("Frame", 31.0, "C7")],
)
def test_the_place_of_the_work_is_watched_although_it_was_centred(
    place: str, place_m: float | None, expected: str
):
    known = [("C5", 20.0), ("C7", 30.0), ("C9", 40.0)]

    watched = stations_to_watch([], place=place, place_m=place_m, known=known)

    assert watched == (Watched(expected, 30.0, None),)


def test_no_more_than_people_can_watch_and_the_place_among_them():
    before = [_look(f"C{n}", n, 0.2 + n / 100) for n in range(30)]

    watched = stations_to_watch(before, place="X1", place_m=99, known=[("X1", 99.0)])

    assert len(watched) == MOST_STATIONS
    assert watched[-1].station == "X1"
    assert "C29" in {one.station for one in watched}


def test_centred_everywhere_in_both_states_for_three_turns_passes():
    watched = (Watched("C5", 20, 0.3),)

    assert verdict(watched, _both("C5", 0.149), THREE).passes


@pytest.mark.parametrize(
    ("looks", "turns"),
    [
        (_both("C5", 0.15), THREE),
        (_both("C5")[:1], THREE),
        ([], THREE),
        (_both("C5"), {EMPTY: 3, LOADED: 2}),
        (_both("C5"), {}),
    ],
)
def test_off_centre_not_watched_or_too_few_turns_do_not_pass(
    looks: list[Look], turns: dict[LoadState, int]
):
    assert not verdict((Watched("C5", 20, 0.3),), looks, turns).passes


@given(st.lists(st.floats(-1.5, 1.5), min_size=1, max_size=8))
def test_nothing_off_centre_ever_passes_and_the_mirrored_belt_is_judged_alike(shares: list[float]):
    def judged(sign: int) -> bool:
        looks = [
            _look(f"C{n}", n, sign * share, load)
            for n, share in enumerate(shares)
            for load in LoadState
        ]
        watched = tuple(Watched(f"C{n}", n, 0.5) for n in range(len(shares)))
        return verdict(watched, looks, THREE).passes

    assert judged(1) == judged(-1) == all(abs(share) < 0.15 for share in shares)
