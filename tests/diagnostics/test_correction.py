"""First steps of a mend: signs against the manuals, small moves, pulleys left alone."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from diagnostics.inference.correction.first_step import correction_for
from diagnostics.inference.correction.idlers import (
    LARGEST_STEP_MM,
    SMALLEST_STEP_MM,
    idler_shift_direction,
)
from diagnostics.inference.correction.words import NO_SHIFT
from diagnostics.inference.diagnosis import diagnose
from diagnostics.inference.ranking import Entry
from plant.loop.vocabulary import ComponentKind, Run, Side
from tests.diagnostics import belts
from tests.diagnostics.belts import EVERY_KIND, GALLERY, INCLINE, conveyor, evidence, walk

# US Army TM 5-3820-233-12 (carrying) and TM 5-3895-374-24-2, pages 620-621 (return): the end of the
# roll toward which the belt has run is moved in the direction of belt travel.
STEERING = json.loads(
    (Path(__file__).parents[1] / "published/data/steering_cases.json").read_text()
)
CORRECTIONS = [one for one in STEERING["cases"] if one["kind"] == "correction"]
CAUSES = {"troughing idler": "carrying_idlers_skewed", "flat return roll": "return_idler_skewed"}


def entry(cause: str, position_m: float, side: Side, **changes) -> Entry:
    found = belts.knowledge().causes[cause]
    plain = Entry(found, 0.5, 1.0, position_m=position_m, lower_m=position_m, upper_m=position_m)
    return replace(plain, side=side, **changes)


@pytest.mark.parametrize("case", CORRECTIONS, ids=lambda one: one["id"])
def test_army_manual_the_end_the_belt_ran_to_is_advanced_with_travel(case):
    facts = conveyor(GALLERY)
    is_carrying = case["incoming_run"] == "carrying"
    at_m = 130.0 if is_carrying else facts.loop.head_m + 40
    side = Side.of(case["given"]["y_mm"])

    correction = correction_for(entry(CAUSES[case["component"]], at_m, side, size=1.0), facts)

    assert correction is not None
    assert correction.direction == case["expect_move"]
    # a > 0: the right end leads the left along the belt's own travel.
    advanced = 1 if correction.direction.startswith("right") else -1
    assert advanced == case["expect_sign_a"]


@pytest.mark.parametrize(("run", "toward"), [(Run.CARRYING, "head"), (Run.RETURN, "tail")])
@pytest.mark.parametrize("side", list(Side))
def test_local_travel_is_toward_the_head_above_and_toward_the_tail_below(run, toward, side):
    assert idler_shift_direction(side, run) == f"{side} end toward the {toward}"


@pytest.mark.parametrize("size", [None, 0.01, 0.5, 5.0, 90.0])
@pytest.mark.parametrize("layout", EVERY_KIND, ids=lambda one: one.tag)
def test_first_steps_are_small_and_spread_over_several_idlers(layout, size):
    facts = conveyor(layout)

    correction = correction_for(
        entry("carrying_idlers_skewed", facts.loop.head_m / 2, Side.LEFT, size=size), facts
    )

    assert correction is not None
    assert correction.move_mm is not None
    assert SMALLEST_STEP_MM <= correction.move_mm <= LARGEST_STEP_MM
    assert "each of 4 idlers" in correction.what
    assert correction.wait_revolutions == 3


def test_the_idlers_named_stand_before_the_place_on_its_own_run():
    facts = conveyor(GALLERY)

    correction = correction_for(entry("return_idler_skewed", 305.0, Side.RIGHT), facts)

    assert correction is not None
    first, last = (
        facts.loop.station_named(name) for name in correction.where.split(",")[0].split(" to ")
    )
    assert first is not None
    assert last is not None
    assert facts.loop.head_m < first.position_m < last.position_m <= 305.0
    assert last.run is Run.RETURN


def test_at_the_beginning_of_a_run_the_first_idlers_are_named():
    facts = conveyor(GALLERY)

    correction = correction_for(entry("carrying_idlers_skewed", 0.5, Side.RIGHT), facts)

    assert correction is not None
    assert correction.where.startswith("I1 to I4")


# US Army TM 5-3895-374-24-2, pages 620-621: pulleys are set level and square and left there.
@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize(
    ("cause", "component"),
    [
        ("tail_pulley_skewed", "TAIL"),
        ("head_pulley_skewed", "HEAD"),
        ("bend_pulley_skewed", "BEND1"),
        ("take_up_carriage_skewed", "TAKEUP"),
    ],
)
def test_army_manual_no_pulley_is_shifted_to_train_the_belt(cause, component, side):
    facts = conveyor(INCLINE)
    at_m = facts.loop.station_named(component).position_m

    correction = correction_for(entry(cause, at_m, side, component=component), facts)

    assert correction is not None
    assert correction.move_mm is None
    assert "square" in correction.what
    assert "squared and left there, not shifted to train" in correction.what


# Adv. Mech. Eng. 2017, doi 10.1177/1687814017695955 (abstract): the belt goes to the side of the
# shorter centre distance, away from the tightened side.
@pytest.mark.parametrize(
    ("component", "away"), [("TAIL", "away from the head"), ("HEAD", "away from the tail")]
)
def test_paper_of_2017_the_side_the_belt_ran_to_has_the_shorter_distance(component, away):
    facts = conveyor(INCLINE)
    cause = f"{component.lower()}_pulley_skewed"
    at_m = facts.loop.station_named(component).position_m

    correction = correction_for(entry(cause, at_m, Side.RIGHT, component=component), facts)

    assert correction is not None
    assert correction.direction.startswith(f"right bearing {away}")


def test_what_is_mended_otherwise_says_how_and_shifts_nothing():
    facts = conveyor(INCLINE)

    correction = correction_for(entry("off_centre_loading", 2.0, Side.LEFT), facts)

    assert correction is not None
    assert correction.move_mm is None
    assert correction.direction == NO_SHIFT
    assert correction.what == belts.knowledge().causes["off_centre_loading"].correct


def test_without_a_side_no_direction_is_made_up():
    facts = conveyor(INCLINE)
    undecided = replace(entry("carrying_idlers_skewed", 90.0, Side.LEFT), side=None)

    correction = correction_for(undecided, facts)

    assert correction is not None
    assert correction.move_mm is None
    assert correction.direction == NO_SHIFT


@pytest.mark.parametrize("side", list(Side))
def test_an_answer_moves_the_end_the_belt_ran_to(side):
    facts = conveyor(GALLERY, left_words="sea side", right_words="walkway side")

    answer = diagnose(evidence(facts, walk(facts, 130, side=side)), belts.knowledge())

    first = answer.ranked[0]
    assert first.cause == "carrying_idlers_skewed"
    assert first.correction is not None
    assert first.correction.direction == f"{side} end toward the head"
    assert facts.side_in_words(side) in first.correction.what
    assert "within 15 mm" in first.correction.look_for


def test_self_aligning_sets_are_never_named_for_a_shift():
    facts = conveyor(INCLINE)
    aligning = {one.name for one in facts.loop.of_kind(ComponentKind.SELF_ALIGNING_IDLER)}

    for at_m in range(10, 170, 5):
        correction = correction_for(entry("carrying_idlers_skewed", at_m, Side.LEFT), facts)
        assert correction is not None
        assert not aligning & set(correction.where.split(",")[0].split(" to "))
