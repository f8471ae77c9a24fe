"""Changes of the question that change the answer in a known way.

The loop's own origin is the tail pulley's leaving tangent by definition and cannot be moved; the
origins that can, the belt's reference splice and the start of a recording, are.
"""

import re
from dataclasses import replace

import numpy as np
import pytest

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.evidence import BeltFacts, SpliceFact, Tap, TimedLook
from diagnostics.inference.fault_families import fault_table
from diagnostics.inference.vocabulary import LoadState, TapEvent
from tests.diagnostics import belts
from tests.diagnostics.belts import EVERY_KIND, GALLERY, INCLINE, conveyor, evidence, walk
from tests.diagnostics.test_timed_look import LENGTH_M, SPEED_MPS, TURN_S, a_log

OTHER_TAP = {TapEvent.OVER_LEFT: TapEvent.OVER_RIGHT, TapEvent.OVER_RIGHT: TapEvent.OVER_LEFT}


def mirrored_look(look: TimedLook) -> TimedLook:
    return replace(
        look,
        offsets_mm=tuple(-one for one in look.offsets_mm),
        taps=tuple(Tap(one.at_s, OTHER_TAP.get(one.event, one.event)) for one in look.taps),
    )


def in_the_mirror(text: str) -> str:
    """Left for right, except what is left there."""
    swapped = {"left": "right", "right": "left", "Left": "Right", "Right": "Left"}
    return re.sub(r"\b([Ll]eft|[Rr]ight)\b(?! there)", lambda found: swapped[found[1]], text)


def timed(facts):
    """The facts with the belt of the timed looks."""
    belt = replace(facts.belt, length_m=LENGTH_M, splices=(SpliceFact("S1", 0.0),))
    return replace(facts, belt=belt, speed_mps=SPEED_MPS)


# The plant in the mirror: nothing registered has a side, so that what was seen is mirrored alone.
@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
@pytest.mark.parametrize("defect_m", [None, 120.0])
def test_plant_in_the_mirror_gets_the_answer_in_the_mirror(layout, defect_m):
    facts = timed(conveyor(layout))
    seen = walk(facts, facts.loop.head_m * 0.6, loads=tuple(LoadState))
    looks = (a_log(defect_m=defect_m),)
    one = evidence(facts, seen, timed_looks=looks)
    other = evidence(
        facts, belts.mirrored(seen), timed_looks=tuple(mirrored_look(look) for look in looks)
    )

    mine, theirs = (diagnose(each, belts.knowledge()) for each in (one, other))

    assert mine.pattern is theirs.pattern
    assert mine.onset == theirs.onset
    assert mine.sufficient is theirs.sufficient
    assert [
        (each.cause_class, pytest.approx(each.probability, abs=1e-9)) for each in mine.classes
    ] == [(each.cause_class, each.probability) for each in theirs.classes]
    assert len(mine.ranked) == len(theirs.ranked)
    for here, there in zip(mine.ranked, theirs.ranked, strict=True):
        assert (here.cause, here.component, here.zone) == (there.cause, there.component, there.zone)
        assert here.probability == pytest.approx(there.probability, abs=1e-9)
        assert here.position_m == there.position_m
        assert here.belt_position_m == there.belt_position_m
        assert (here.size is None) is (there.size is None)
        assert (here.size or 0.0) == pytest.approx(there.size or 0.0, rel=1e-6)
        assert here.side is (there.side.opposite if there.side else None)
        assert here.bows_to is (there.bows_to.opposite if there.bows_to else None)
        if here.correction is not None and there.correction is not None:
            assert here.correction.move_mm == there.correction.move_mm
            assert here.correction.direction == in_the_mirror(there.correction.direction)
            assert here.correction.what == in_the_mirror(there.correction.what)
    assert [(each.what, each.where) for each in mine.next_checks] == [
        (each.what, each.where) for each in theirs.next_checks
    ]
    assert [each.causes for each in mine.pairs] == [each.causes for each in theirs.pairs]


def seen_from(belt: BeltFacts, look: TimedLook, origin_m: float) -> tuple[BeltFacts, TimedLook]:
    """Belt positions counted from another splice: it passes where and when it always did."""
    splices = tuple(
        replace(one, belt_position_m=(one.belt_position_m - origin_m) % belt.length_m)
        for one in belt.splices
    )
    # What lies ahead by b passes b / v earlier.
    passes = tuple(one - origin_m / SPEED_MPS for one in look.splice_passes_s)
    passes = tuple(one % TURN_S + TURN_S * number for number, one in enumerate(passes))
    return replace(belt, splices=splices), replace(look, splice_passes_s=passes)


@pytest.mark.parametrize("origin_m", [60.0, 165.0, 290.0])
def test_another_reference_splice_changes_nothing_but_the_count(origin_m):
    facts = timed(conveyor(INCLINE))
    splices = (SpliceFact("S1", 0.0), SpliceFact("S2", 165.0))
    facts = replace(facts, belt=replace(facts.belt, splices=splices))
    seen, look = walk(facts, 90), a_log(defect_m=165.0)
    belt, moved = seen_from(facts.belt, look, origin_m)

    one = diagnose(evidence(facts, seen, timed_looks=(look,)), belts.knowledge())
    other = diagnose(
        evidence(replace(facts, belt=belt), seen, timed_looks=(moved,)), belts.knowledge()
    )

    # The place of the defect is found to a fraction of a metre, anew from each reference.
    assert {each.cause_class: each.probability for each in one.classes} == pytest.approx(
        {each.cause_class: each.probability for each in other.classes}, abs=1e-2
    )
    for here, there in zip(one.ranked, other.ranked, strict=True):
        assert here.cause == there.cause
        if here.belt_position_m is not None and there.belt_position_m is not None:
            apart = (here.belt_position_m - origin_m - there.belt_position_m) % LENGTH_M
            assert min(apart, LENGTH_M - apart) < 0.5


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_twice_the_fault_is_twice_the_profile_of_every_candidate(layout):
    model = models_of(conveyor(layout), [LoadState.LOADED])[LoadState.LOADED]

    for one in fault_table(model).candidates:
        middle = len(one.position_m) // 2
        once, twice = (model.solve(one.of(middle, size)) for size in (0.7, 1.4))
        assert twice == pytest.approx(2 * once, rel=1e-9, abs=1e-15)


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_the_profile_solved_forward_is_the_influence_looked_back_from_every_place(layout):
    facts = conveyor(layout)
    places = np.linspace(0.0, facts.loop.tail_m, 17)
    for load, model in models_of(facts, list(LoadState)).items():
        table = fault_table(model)
        families = table.families(np.array([table.column(float(one)) for one in places]))
        for one, family in zip(table.candidates, families, strict=True):
            middle = len(one.position_m) // 2
            forward_mm = 1000 * model.offsets_m(model.solve(one.of(middle, 1.0)), places)
            assert family.influence_mm[:, middle] == pytest.approx(
                forward_mm, rel=1e-6, abs=1e-6 * max(np.abs(forward_mm).max(), 1e-9)
            ), (load, one.name)


def test_offsets_twice_as_large_ask_for_a_larger_fault_at_the_same_place():
    facts = conveyor(GALLERY)
    seen = [
        replace(one, degree=None, side=None, offset_mm=one.offset_or_middle_mm(100.0) * 0.5)
        for one in walk(facts, 130)
    ]
    doubled = [replace(one, offset_mm=2 * one.offset_mm) for one in seen]

    small, large = (
        next(
            one
            for one in diagnose(evidence(facts, tuple(each)), belts.knowledge()).ranked
            if one.cause == "carrying_idlers_skewed"
        )
        for each in (seen, doubled)
    )

    assert large.position_m == pytest.approx(small.position_m, abs=15)
    assert 1.3 < large.size / small.size < 2.7
