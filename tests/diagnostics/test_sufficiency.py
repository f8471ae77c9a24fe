"""When the evidence does not support an answer, and which look would settle it."""

from dataclasses import replace

import pytest

from diagnostics.inference.answer import Answer
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.evidence import Evidence
from diagnostics.inference.vocabulary import (
    CauseClass,
    Degree,
    LoadState,
    Pattern,
    Persistence,
)
from plant.loop.vocabulary import Side
from tests.diagnostics import belts
from tests.diagnostics.belts import FEEDER, GALLERY, INCLINE, conveyor, evidence, walk
from tests.diagnostics.test_timed_look import TURN_S, a_log


def answer_to(one: Evidence) -> Answer:
    return diagnose(one, belts.knowledge())


def shares(answer: Answer) -> dict[str, float]:
    return {one.cause_class: one.probability for one in answer.classes}


def test_without_any_sighting_the_answer_says_where_to_begin():
    answer = answer_to(evidence(conveyor(INCLINE)))

    assert not answer.sufficient
    assert answer.onset is None
    assert any("Nothing was seen" in note for note in answer.notes)
    nine = [share for name, share in shares(answer).items() if name != CauseClass.SURROUNDINGS]
    assert max(nine) == pytest.approx(min(nine), rel=0.01)


def test_one_sighting_is_not_enough():
    facts = conveyor(INCLINE)

    answer = answer_to(evidence(facts, walk(facts, 90)[20:21]))

    assert not answer.sufficient
    assert any("Only 1 station" in note for note in answer.notes)


def test_all_centred_is_a_pattern_of_its_own_and_not_enough():
    facts = conveyor(INCLINE)
    centred = tuple(
        replace(one, degree=Degree.CENTRED, side=None, persistence=None) for one in walk(facts, 90)
    )

    answer = answer_to(evidence(facts, centred))

    assert answer.pattern is Pattern.CENTRED
    assert not answer.sufficient
    assert answer.onset is None


def test_one_station_off_to_both_sides_is_a_contradiction():
    facts = conveyor(INCLINE)
    seen = walk(facts, 90)
    off = next(one for one in seen if one.side is Side.RIGHT)

    answer = answer_to(evidence(facts, (*seen, replace(off, side=Side.LEFT))))

    assert not answer.sufficient
    assert any(off.station in note and "both sides" in note for note in answer.notes)


def test_a_suspected_belt_without_a_timed_look_is_not_enough():
    facts = conveyor(FEEDER)
    names = [("C1-5", 0.6), ("C1-10", 0.0), ("C1-15", 0.0), ("HEAD", 0.6), ("T1-5", 0.0)]
    seen = tuple(
        belts.sighting(name, facts, LoadState.EMPTY, share, side, Persistence.COMES_AND_GOES)
        for (name, share), side in zip(names, [Side.LEFT] * 5, strict=True)
    )

    answer = answer_to(evidence(facts, seen))

    assert answer.pattern is Pattern.TRAVELLING
    assert not answer.sufficient
    assert any("nothing was timed" in note for note in answer.notes)
    assert any("turns of the belt" in one.what for one in answer.next_checks)


def test_a_belt_seen_only_backwards_is_not_fitted():
    facts = conveyor(FEEDER, is_reversing=True)
    seen = tuple(replace(one, is_running_backwards=True) for one in walk(facts, 20))

    answer = answer_to(evidence(facts, seen))

    assert not answer.sufficient
    assert answer.onset is None


def test_a_clear_walk_is_enough():
    facts = conveyor(GALLERY)

    answer = answer_to(evidence(facts, walk(facts, 130)))

    assert answer.sufficient


def test_a_timed_look_of_one_turn_is_said_to_be_too_short():
    facts = conveyor(FEEDER, belt=replace(conveyor(FEEDER).belt, length_m=TURN_S * 1.8))
    look = a_log(defect_m=None, turns=1.0)

    answer = answer_to(evidence(facts, walk(facts, 20), timed_looks=(look,)))

    assert any("too short to tell" in note for note in answer.notes)
