"""Evidence that contradicts itself, tells nothing or cannot be: an answer that says so."""

import json
from dataclasses import replace

import pytest

from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.vocabulary import CauseClass, Degree, LoadState, Pattern
from plant.loop.vocabulary import Run, Side
from tests.diagnostics import belts
from tests.diagnostics.belts import EVERY_KIND, GALLERY, INCLINE, conveyor, evidence, walk


def answer_to(facts, seen):
    answer = diagnose(evidence(facts, tuple(seen)), belts.knowledge())
    # Whatever was seen, the answer can be written down and its classes sum to 1.
    json.dumps(answer.as_json("X"), allow_nan=False)
    assert sum(one.probability for one in answer.classes) == pytest.approx(1)
    return answer


def shares(answer):
    return {one.cause_class: one.probability for one in answer.classes}


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_every_station_off_to_both_sides_tells_nothing_and_says_so(layout):
    facts = conveyor(layout)
    seen = walk(facts, facts.loop.head_m * 0.4)

    answer = answer_to(facts, [*seen, *belts.mirrored(seen)])

    assert not answer.sufficient
    assert any("both sides" in note for note in answer.notes)


@pytest.mark.parametrize("load", LoadState)
def test_a_belt_centred_everywhere_prefers_no_side_and_no_place(load):
    facts = conveyor(GALLERY)
    centred = [
        replace(one, degree=Degree.CENTRED, side=None, persistence=None)
        for one in walk(facts, 90, loads=(load,))
    ]

    answer = answer_to(facts, centred)

    assert answer.pattern is Pattern.CENTRED
    assert not answer.sufficient
    assert answer.onset is None
    assert max(shares(answer).values()) < 0.5


@pytest.mark.parametrize("number", [0, 20, -1])
def test_one_sighting_asks_for_more_of_them(number):
    facts = conveyor(INCLINE)
    seen = [walk(facts, 90)[number]]

    answer = answer_to(facts, seen)

    assert not answer.sufficient
    assert any("Only 1 station" in note for note in answer.notes)
    assert any(not one.needs_stop for one in answer.next_checks)


def test_the_same_station_seen_twice_counts_but_is_one_station():
    facts = conveyor(INCLINE)
    one = next(seen for seen in walk(facts, 90) if seen.side is Side.RIGHT)

    answer = answer_to(facts, [one] * 5)

    assert any("Only 1 station" in note for note in answer.notes)


@pytest.mark.parametrize("position_m", [-3.0, 5000.0])
def test_a_sighting_off_the_loop_is_left_out_and_told(position_m):
    facts = conveyor(INCLINE)
    seen = walk(facts, 90)
    stray = replace(seen[10], station="C99", position_m=position_m, offset_mm=95.0)

    answer = answer_to(facts, [*seen, stray])

    clean = answer_to(facts, seen)
    assert shares(answer) == shares(clean)
    assert any("C99" in note and f"{position_m:g} m" in note for note in answer.notes)


def test_many_sightings_off_the_loop_are_counted():
    facts = conveyor(INCLINE)
    strays = [
        replace(one, station=f"X{number}", position_m=9000.0 + number)
        for number, one in enumerate(walk(facts, 90)[:9])
    ]

    answer = answer_to(facts, strays)

    assert not answer.sufficient
    assert any("Nothing was seen" in note for note in answer.notes)
    assert any(note.startswith("4 more sightings") for note in answer.notes)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
@pytest.mark.parametrize("field", ["position_m", "offset_mm"])
def test_what_is_no_number_is_refused_with_its_station(field, value):
    facts = conveyor(INCLINE)
    seen = list(walk(facts, 90))
    seen[3] = replace(seen[3], **{field: value})

    with pytest.raises(ValueError, match=rf"{seen[3].station}: {field} must be finite"):
        diagnose(evidence(facts, tuple(seen)), belts.knowledge())


def test_a_reading_far_beyond_the_clearance_is_kept_and_asked_about():
    facts = conveyor(INCLINE)
    seen = list(walk(facts, 90))
    seen[3] = replace(seen[3], degree=None, side=None, offset_mm=15_000.0)

    answer = answer_to(facts, seen)

    assert any(seen[3].station in note and "clearance" in note for note in answer.notes)


def test_a_run_that_does_not_fit_the_place_is_told_and_the_place_taken():
    facts = conveyor(INCLINE)
    seen = list(walk(facts, 90))
    number = next(i for i, one in enumerate(seen) if one.side is Side.RIGHT)
    seen[number] = replace(seen[number], run=Run.RETURN)

    answer = answer_to(facts, seen)

    assert any(seen[number].station in note and "return run" in note for note in answer.notes)


def test_loaded_and_empty_that_cannot_both_be_keep_every_class_alive():
    facts = conveyor(GALLERY)
    loaded = walk(facts, 130)
    empty = [replace(one, load=LoadState.EMPTY) for one in belts.mirrored(walk(facts, 130))]

    answer = answer_to(facts, [*loaded, *empty])

    assert CauseClass.LOADING in shares(answer)
    assert max(shares(answer).values()) < 0.98
