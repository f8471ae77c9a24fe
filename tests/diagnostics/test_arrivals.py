"""Which evidence came in between two answers, and what it moved."""

from dataclasses import replace

import pytest

from diagnostics.inference.arrivals import arrivals_between
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.evidence import FindingFact
from diagnostics.inference.vocabulary import LoadState
from plant.loop.vocabulary import Side
from tests.diagnostics import belts
from tests.diagnostics.belts import INCLINE, conveyor, evidence, walk
from tests.diagnostics.test_trade_table import timed

NAMES = {slug: one.name for slug, one in belts.knowledge().causes.items()}


def shares_of(one):
    answer = diagnose(one, belts.knowledge())
    return {share.cause_class.value: share.probability for share in answer.classes}


def between(before, after):
    return arrivals_between(before, after, shares_of, NAMES)


def test_the_same_evidence_brings_nothing():
    one = evidence(conveyor(INCLINE), walk(conveyor(INCLINE), 90)[:8])

    assert between(one, one) == ()


def test_new_sightings_are_named_by_load_state():
    facts = conveyor(INCLINE)
    seen = walk(facts, 90)
    empty = walk(facts, 90, loads=(LoadState.EMPTY,))
    before = evidence(facts, seen[:6])

    (arrival,) = between(before, replace(before, sightings=seen[:8] + empty[:7]))

    assert arrival.says == (
        f"Looked at, empty: {', '.join(one.station for one in empty[:6])} and 1 more.",
        f"Looked at, loaded: {seen[6].station}, {seen[7].station}.",
    )


def test_every_kind_has_its_own_step_and_the_steps_add_up():
    facts = conveyor(INCLINE)
    seen = walk(facts, 90)
    before = evidence(facts, seen[:10])
    finding = FindingFact("carrying_idlers_skewed", True)
    after = replace(
        before, sightings=seen, timed_looks=(timed(facts, Side.LEFT, 60.0),), findings=(finding,)
    )

    found = between(before, after)

    assert [len(one.says) for one in found] == [1, 1, 1]
    assert found[1].says[0].startswith("Timed at ")
    assert found[2].says == ("Carrying idlers out of square was found.",)
    name = "carrying_idler_structure"
    moved = [
        shift.after - shift.before
        for one in found
        for shift in one.shifts
        if shift.cause_class == name
    ]
    whole = shares_of(after)[name] - shares_of(before)[name]
    # Steps below a twentieth are not told.
    assert sum(moved) == pytest.approx(whole, abs=0.15)
    assert max(one.after for one in found[2].shifts) > 0.5


def test_a_finding_that_was_not_there_moves_its_cause_down():
    facts = conveyor(INCLINE)
    before = evidence(facts, walk(facts, 90))
    cause = diagnose(before, belts.knowledge()).ranked[0].cause

    (arrival,) = between(before, replace(before, findings=(FindingFact(cause, False, None),)))

    assert arrival.says == (f"{NAMES[cause]} was not found.",)
    assert all(
        one.after < one.before
        for one in arrival.shifts
        if one.cause_class == belts.knowledge().causes[cause].cause_class
    )


def test_what_was_taken_back_is_said():
    facts = conveyor(INCLINE)
    seen = walk(facts, 90)
    before = evidence(facts, seen[:8], remarks=frozenset({"wet"}))

    arrivals = between(before, replace(before, sightings=seen[:7], remarks=frozenset()))

    assert [one.says for one in arrivals] == [
        (f"No longer counted: {seen[7].station}.",),
        ("No longer said: wet.",),
    ]
