"""The walker's rule: where the stretch with the largest peak begins."""

import pytest

from diagnostics.inference.evidence import Sighting
from diagnostics.inference.feature_words import OnsetPlace
from diagnostics.inference.onset import find_onset, is_off
from diagnostics.inference.onset_place import onset_words
from diagnostics.inference.vocabulary import Degree, LoadState
from plant.loop.vocabulary import Run, Side
from tests.diagnostics.belts import FEEDER, GALLERY, INCLINE, conveyor

FACTS = conveyor(FEEDER)  # clearance 100 mm: off centre from 15 mm on


def at(position_m: float, offset_mm: float, load: LoadState = LoadState.LOADED) -> Sighting:
    run = FACTS.loop.run_at(position_m)
    return Sighting(f"S{position_m:g}", run, position_m, load, offset_mm=offset_mm)


def test_the_stretch_with_the_largest_peak_counts_not_the_first():
    onset = find_onset(
        FACTS, [at(5, 0), at(10, 20), at(15, 0), at(20, -30), at(25, -60), at(30, 0)]
    )

    assert onset is not None
    assert (onset.station, onset.run, onset.position_m) == ("S20", Run.CARRYING, 20)


def test_a_stretch_that_passes_the_seam_begins_on_the_return_run():
    onset = find_onset(FACTS, [at(2, 50), at(6, 0), at(60, 0), at(80, 20), at(88, 30)])

    assert onset is not None
    assert (onset.position_m, onset.run) == (80, Run.RETURN)


def test_the_order_of_the_sightings_does_not_matter():
    sightings = [at(5, 0), at(10, 20), at(15, 0), at(20, -30), at(25, -60), at(30, 0)]

    assert find_onset(FACTS, reversed(sightings)) == find_onset(FACTS, sightings)


def test_of_two_equal_peaks_the_one_nearer_the_tail_counts():
    onset = find_onset(FACTS, [at(5, 0), at(10, 40), at(15, 0), at(20, -40), at(25, 0)])

    assert onset is not None
    assert onset.position_m == 10


def test_a_stretch_with_a_change_of_side_is_one_stretch():
    onset = find_onset(FACTS, [at(5, 0), at(10, 20), at(15, -60), at(20, 0)])

    assert onset is not None
    assert onset.position_m == 10


def test_loaded_readings_decide_before_empty_ones_however_small():
    empty = [at(5, 0, LoadState.EMPTY), at(10, 90, LoadState.EMPTY)]
    loaded = [at(20, 0), at(25, 16), at(30, 0)]

    onset = find_onset(FACTS, [*empty, *loaded])

    assert onset is not None
    assert onset.position_m == 25


@pytest.mark.parametrize(
    "loaded",
    [
        pytest.param([], id="not looked at"),
        pytest.param([at(20, 0), at(30, 10)], id="nothing off"),
        pytest.param([at(20, 40), at(30, 50)], id="nothing centred"),
    ],
)
def test_empty_readings_decide_when_the_loaded_ones_give_none(loaded):
    empty = [at(5, 0, LoadState.EMPTY), at(10, 90, LoadState.EMPTY)]

    onset = find_onset(FACTS, [*empty, *loaded])

    assert onset is not None
    assert onset.position_m == 10


def test_there_is_none_when_nothing_is_off_or_nothing_is_centred_or_nothing_was_seen():
    assert find_onset(FACTS, [at(5, 0), at(10, 14.9)]) is None
    assert find_onset(FACTS, [at(5, 15), at(10, -80)]) is None
    assert find_onset(FACTS, []) is None


@pytest.mark.parametrize(("offset_mm", "off"), [(14.99, False), (15.0, True), (-15.0, True)])
def test_off_centre_begins_at_0_15_of_the_clearance(offset_mm, off):
    assert is_off(at(5, offset_mm), 100) is off


@pytest.mark.parametrize(
    ("degree", "off"),
    [(Degree.CENTRED, False), (Degree.SLIGHT, True), (Degree.HALF, True), (Degree.HARD_OVER, True)],
)
def test_every_noted_degree_but_centred_is_off(degree, off):
    sighting = Sighting("C1-1", Run.CARRYING, 5.7, LoadState.LOADED, degree=degree, side=Side.LEFT)

    assert is_off(sighting, 100) is off


def test_sightings_of_a_belt_running_backwards_are_left_out():
    backwards = Sighting(
        "S10", Run.CARRYING, 10, LoadState.LOADED, offset_mm=90, is_running_backwards=True
    )

    assert find_onset(FACTS, [at(5, 0), backwards, at(15, 0)]) is None


def words(facts, position_m: float) -> set[str]:
    run = facts.loop.run_at(position_m)
    before = facts.loop.wrap(position_m - 20)
    return set(
        onset_words(
            facts,
            [
                Sighting("A", facts.loop.run_at(before), before, LoadState.LOADED, offset_mm=0),
                Sighting("B", run, position_m, LoadState.LOADED, offset_mm=60),
            ],
        )
    )


@pytest.mark.parametrize("layout", [INCLINE, GALLERY], ids=lambda one: one.tag)
def test_each_stretch_of_the_walk_has_its_word(layout):
    facts = conveyor(layout)
    head_m, tail_m = facts.loop.head_m, facts.loop.tail_m
    place = {one.name: one.position_m for one in facts.loop.stations}

    assert words(facts, 1.2) == {OnsetPlace.BEFORE_SKIRTS_END}
    assert words(facts, 8.1) == {OnsetPlace.PAST_SKIRTS}
    assert words(facts, head_m / 2) == {OnsetPlace.CARRYING}
    assert words(facts, head_m) == {OnsetPlace.CARRYING, OnsetPlace.AT_HEAD}
    assert words(facts, head_m + 6) == {OnsetPlace.PAST_HEAD}
    assert words(facts, head_m + 30) == {OnsetPlace.RETURN}
    assert words(facts, place["TAKEUP"]) == {OnsetPlace.AT_TAKE_UP}
    assert words(facts, place["BEND2"]) == {OnsetPlace.PAST_TAKE_UP}
    assert words(facts, place["BEND2"] + 40) == {OnsetPlace.LAST_RETURN}
    assert words(facts, tail_m) == {OnsetPlace.LAST_RETURN, OnsetPlace.ARRIVES_OFF}


def test_without_a_take_up_pulley_the_whole_return_run_is_one():
    assert words(FACTS, 75) == {OnsetPlace.RETURN}
    assert words(FACTS, FACTS.loop.tail_m) == {OnsetPlace.RETURN, OnsetPlace.ARRIVES_OFF}


def test_nowhere_and_everywhere_have_words_of_their_own():
    assert onset_words(FACTS, [at(5, 0), at(10, 3)]) == {OnsetPlace.NOWHERE}
    assert onset_words(FACTS, [at(5, 30), at(10, 40)]) == {OnsetPlace.EVERYWHERE}
    assert onset_words(FACTS, []) == frozenset()
