"""What must hold of every answer, whatever the belt."""

import time
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.inference.answer import Answer
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.evidence import Evidence, FindingFact, Sighting
from diagnostics.inference.feature_words import Remark
from diagnostics.inference.posterior import cause_probabilities
from diagnostics.inference.priors import Priors
from diagnostics.inference.vocabulary import (
    CauseClass,
    Degree,
    LoadState,
    Pattern,
    Persistence,
)
from plant.loop.path import build_loop
from plant.loop.vocabulary import Run, Side
from tests.diagnostics import belts
from tests.diagnostics.belts import (
    EVERY_KIND,
    FEEDER,
    GALLERY,
    INCLINE,
    OVERLAND,
    conveyor,
    evidence,
    walk,
)


def answer_to(one: Evidence) -> Answer:
    return diagnose(one, belts.knowledge())


def shares(answer: Answer) -> dict[str, float]:
    return {one.cause_class: one.probability for one in answer.classes}


def share_of(one: Evidence, cause: str) -> float:
    """Probability of a cause at all its places, whether or not it is in the list."""
    answer = answer_to(one)
    return cause_probabilities(answer.likelihoods, belts.knowledge(), one.priors)[cause]


def test_the_same_evidence_gets_the_same_answer():
    facts = conveyor(INCLINE)
    one = evidence(facts, walk(facts, 90))

    assert answer_to(one) == answer_to(one)


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_mirrored_sightings_get_the_mirrored_answer(layout):
    facts = conveyor(layout)
    seen = walk(facts, facts.loop.head_m * 0.4)

    one, other = answer_to(evidence(facts, seen)), answer_to(evidence(facts, belts.mirrored(seen)))

    assert shares(one) == pytest.approx(shares(other))
    assert [entry.cause for entry in one.ranked] == [entry.cause for entry in other.ranked]
    for mine, theirs in zip(one.ranked, other.ranked, strict=True):
        assert mine.position_m == theirs.position_m
        assert mine.side is (None if theirs.side is None else theirs.side.opposite)
        assert mine.bows_to is (None if theirs.bows_to is None else theirs.bows_to.opposite)
        assert mine.size == pytest.approx(theirs.size)


def test_the_order_of_the_sightings_changes_nothing():
    facts = conveyor(GALLERY)
    seen = walk(facts, 130, loads=(LoadState.LOADED, LoadState.EMPTY))

    assert answer_to(evidence(facts, tuple(reversed(seen)))) == answer_to(evidence(facts, seen))


@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_probabilities_sum_to_one(layout):
    facts = conveyor(layout)

    answer = answer_to(evidence(facts, walk(facts, facts.loop.head_m + 5)))

    assert sum(shares(answer).values()) == pytest.approx(1)
    assert 0.5 < sum(one.probability for one in answer.ranked) <= 1 + 1e-9


@pytest.mark.parametrize(
    "cause",
    [
        "head_pulley_skewed",
        "carrying_idlers_skewed",
        "off_centre_loading",
        "crooked_splice",
        "wind_on_belt",
        "tail_pulley_build_up",
    ],
)
def test_a_finding_raises_its_cause_and_its_absence_lowers_it(cause):
    facts = conveyor(INCLINE)
    seen = walk(facts, 90)
    before = share_of(evidence(facts, seen), cause)

    found = evidence(facts, seen, findings=(FindingFact(cause, True),))
    absent = evidence(facts, seen, findings=(FindingFact(cause, False),))

    assert share_of(found, cause) > before
    assert share_of(absent, cause) < before
    assert any(one.cause == cause for one in answer_to(found).ranked)


def test_a_finding_at_a_component_raises_the_cause_there():
    facts = conveyor(GALLERY)
    seen = walk(facts, 130)
    here = FindingFact("carrying_idlers_skewed", True, component="C1-150")

    answer = answer_to(evidence(facts, seen, findings=(here,)))

    at_m = facts.loop.station_named("C1-150").position_m
    near = [
        one
        for one in answer.ranked
        if one.cause == "carrying_idlers_skewed" and abs(one.position_m - at_m) <= 8
    ]
    assert near
    assert any("C1-150" in reason for reason in near[0].reasons)


def test_a_finding_that_is_confirmed_settles_a_doubtful_case():
    facts = conveyor(INCLINE)
    seen = walk(facts, facts.loop.station_named("BEND1").position_m + 1)
    found = FindingFact("bend_pulley_build_up", True, component="BEND1")
    assert answer_to(evidence(facts, seen)).ranked[0].cause_class is CauseClass.TAKE_UP

    answer = answer_to(evidence(facts, seen, findings=(found,)))

    assert answer.ranked[0].cause == "bend_pulley_build_up"
    assert answer.ranked[0].component == "BEND1"


def test_learned_base_rates_weigh_causes():
    facts = conveyor(INCLINE)
    seen = walk(facts, 90)
    learned = Priors(causes={"carrying_idler_dropped": 10.0})

    before = share_of(evidence(facts, seen), "carrying_idler_dropped")
    after = share_of(evidence(facts, seen, priors=learned), "carrying_idler_dropped")

    assert after > before


@pytest.mark.parametrize(
    ("remark", "cause"),
    [
        (Remark.WIND, "wind_on_belt"),
        (Remark.FROZEN, "frozen_rolls"),
        (Remark.SLACK, "tension_too_low"),
        (Remark.NEW_PULLEY_WORK, "head_pulley_skewed"),
        (Remark.SPILLAGE, "tail_pulley_build_up"),
        (Remark.CLEANER_UNEVEN, "cleaner_presses_unevenly"),
    ],
)
def test_what_people_say_raises_what_it_speaks_for(remark, cause):
    facts = conveyor(INCLINE)
    seen = walk(facts, 90)
    before = share_of(evidence(facts, seen), cause)

    after = share_of(evidence(facts, seen, remarks=frozenset({remark})), cause)

    assert after > before


def test_start_and_stop_is_the_pattern_when_people_say_so():
    facts = conveyor(INCLINE)
    remarks = frozenset({Remark.STARTS_AND_STOPS})

    answer = answer_to(evidence(facts, walk(facts, 245), remarks=remarks))

    assert answer.pattern is Pattern.START_STOP
    assert answer.ranked[0].cause_class is CauseClass.TAKE_UP


def test_no_pattern_at_most_stations_is_erratic_and_not_sufficient():
    facts = conveyor(INCLINE)

    answer = answer_to(evidence(facts, walk(facts, 90, said=Persistence.NO_PATTERN)))

    assert answer.pattern is Pattern.ERRATIC
    assert not answer.sufficient


# US Army TM 5-3895-374-24-2, pages 620-621: no pattern with the belt empty points at a belt that
# does not bed into the trough, loaded at a load that is not received evenly and in the middle.
@pytest.mark.parametrize(
    ("load", "causes"),
    [
        (LoadState.EMPTY, {"belt_too_stiff", "tension_too_low"}),
        (LoadState.LOADED, {"uneven_feed"}),
    ],
)
def test_army_manual_erratic_empty_and_erratic_loaded(load, causes):
    facts = conveyor(INCLINE)
    seen = tuple(
        belts.sighting(one.name, facts, load, 0.5, side, Persistence.NO_PATTERN)
        for one, side in zip(
            facts.loop.stations[20:140:12], [Side.LEFT, Side.RIGHT] * 5, strict=True
        )
    )

    answer = answer_to(evidence(facts, seen, remarks=frozenset({Remark.ERRATIC})))

    assert answer.pattern is Pattern.ERRATIC
    assert {one.cause for one in belts.first_of_classes(answer)} & causes


# US Army TM 5-3895-374-24-2, pages 620-621: all portions off along one stretch -> alignment or
# level there; one portion off everywhere -> the belt, its joint or the loading.
def test_army_manual_a_stretch_off_for_all_of_the_belt_is_not_the_belt():
    facts = conveyor(GALLERY)

    answer = answer_to(evidence(facts, walk(facts, 130)))

    assert [one.cause_class for one in answer.classes[:3]].count(CauseClass.BELT_SPLICE) == 0
    assert answer.ranked[0].position_m == pytest.approx(130, abs=20)


def test_a_load_pushes_only_while_it_lies_on_the_belt():
    facts = conveyor(GALLERY)
    loaded = walk(facts, 7.0, reach_m=2 * facts.loop.head_m)
    empty = tuple(
        replace(one, load=LoadState.EMPTY, degree=Degree.CENTRED, side=None) for one in loaded
    )

    answer = answer_to(evidence(facts, (*loaded, *empty)))

    assert answer.ranked[0].cause_class is CauseClass.LOADING
    assert answer.pattern is Pattern.LOAD_DEPENDENT


def test_a_reversing_belt_that_changes_side_blames_what_is_turned():
    facts = conveyor(FEEDER, is_reversing=True)
    forward = walk(facts, 20)
    back = tuple(replace(one, is_running_backwards=True) for one in belts.mirrored(forward))
    before = share_of(evidence(facts, forward), "rolls_trained_one_way")

    after = share_of(evidence(facts, (*forward, *back)), "rolls_trained_one_way")

    assert after > before


def test_the_conveyors_own_words_stand_beside_left_and_right():
    facts = conveyor(GALLERY, left_words="sea side", right_words="walkway side")

    answer = answer_to(evidence(facts, walk(facts, 130, side=Side.LEFT)))

    first = answer.ranked[0]
    assert any("left (sea side)" in reason for reason in first.reasons)


def test_cautions_come_with_every_answer():
    for layout in EVERY_KIND:
        facts = conveyor(layout)
        assert answer_to(evidence(facts, walk(facts, 20))).cautions
    assert answer_to(evidence(conveyor(INCLINE))).cautions


def test_two_faults_at_once_are_named_when_one_leaves_much_unexplained():
    facts = conveyor(GALLERY)
    # Off to the left low on the carrying run and to the right far up, each for itself.
    one = walk(facts, 60, side=Side.LEFT, about=120)
    other = {seen.station: seen for seen in walk(facts, 190, side=Side.RIGHT, about=120)}
    both = tuple(other[seen.station] if seen.side is None else seen for seen in one)
    offsets = tuple(
        replace(seen, offset_mm=seen.offset_or_middle_mm(facts.clearance_mm) * 1.5) for seen in both
    )

    answer = answer_to(evidence(facts, offsets))

    assert answer.pairs
    assert sum(one.probability for one in answer.pairs) > 0.5
    classes = {belts.knowledge().causes[slug].cause_class for slug in answer.pairs[0].causes}
    assert CauseClass.CARRYING in classes


def test_one_fault_needs_no_second():
    facts = conveyor(GALLERY)

    assert answer_to(evidence(facts, walk(facts, 130))).pairs == ()


def test_six_hundred_idlers_and_forty_sightings_take_well_under_a_second():
    layout = replace(OVERLAND, centre_m=540)
    facts = conveyor(layout)
    one = evidence(facts, walk(facts, 250, about=40))
    answer_to(one)

    started = time.process_time()
    answer_to(one)
    took_s = time.process_time() - started

    assert len(facts.loop.stations) > 600
    assert len(one.sightings) >= 40
    assert took_s < 1.0


@settings(max_examples=40, deadline=None)
@given(
    layout=st.sampled_from([FEEDER, INCLINE]),
    readings=st.lists(
        st.tuples(
            st.integers(0, 10_000),
            st.floats(-500, 500),
            st.sampled_from(list(LoadState)),
            st.sampled_from([None, *Persistence]),
        ),
        max_size=12,
    ),
    remarks=st.sets(st.sampled_from(list(Remark)), max_size=4),
)
def test_whatever_is_seen_the_answer_is_whole(layout, readings, remarks):
    facts = conveyor(layout)
    stations = facts.loop.stations
    seen = tuple(
        Sighting(
            stations[number % len(stations)].name,
            stations[number % len(stations)].run,
            stations[number % len(stations)].position_m,
            load,
            offset_mm=offset_mm,
            persistence=said,
        )
        for number, offset_mm, load, said in readings
    )

    answer = answer_to(evidence(facts, seen, remarks=frozenset(remarks)))

    assert sum(shares(answer).values()) == pytest.approx(1)
    assert all(0 <= one.probability <= 1 + 1e-9 for one in answer.ranked)
    assert all(one.information >= 0 for one in answer.next_checks)


@pytest.mark.parametrize("run", list(Run))
def test_a_conveyor_without_idlers_on_a_run_is_answered(run):
    facts = conveyor(GALLERY)
    kept = [one for one in facts.loop.parts if not (one.is_idler and one.run is run)]
    bare = replace(facts, loop=build_loop(kept))
    seen = tuple(
        Sighting(one.name, one.run, one.position_m, LoadState.LOADED, offset_mm=20.0 * number)
        for number, one in enumerate(bare.loop.stations[:5])
    )

    answer = answer_to(evidence(bare, seen))

    assert sum(shares(answer).values()) == pytest.approx(1)
