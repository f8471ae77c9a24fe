"""One answer held against its truth: places, sides, pairs, and the rule of the onset beside it."""

import pytest

from diagnostics.inference.answer import Onset
from diagnostics.inference.evaluation.judging import judge
from diagnostics.inference.evaluation.onset_rule import ranked_by_onset
from diagnostics.inference.evaluation.truth import TrueCause
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.vocabulary import Run, Side
from tests.diagnostics import belts
from tests.diagnostics.judged_cases import answer, known_case, suspicion

C = CauseClass
EVEN = {C.TAIL_PULLEY: 0.5, C.CARRYING: 0.3, C.BELT_SECTION: 0.2}


def place_of(true: TrueCause, *ranked, **shares):
    return judge(known_case(true), answer(EVEN, *ranked), belts.knowledge()).place


def test_the_best_entry_of_the_true_class_counts_whatever_stands_before_it():
    true = TrueCause(C.CARRYING, position_m=100.0)

    place = place_of(
        true,
        suspicion(C.TAIL_PULLEY, position_m=99.0),
        suspicion(C.CARRYING, position_m=130.0),
        suspicion(C.CARRYING, position_m=100.0),
    )

    assert place.error_m == pytest.approx(30.0)
    assert place.run is Run.CARRYING


def test_error_of_place_goes_the_shortest_way_over_the_seam():
    length_m = belts.conveyor(belts.INCLINE).loop.length_m
    true = TrueCause(C.CARRYING, position_m=2.0)

    place = place_of(true, suspicion(C.CARRYING, position_m=length_m - 3.0))

    assert place.error_m == pytest.approx(5.0)


def test_error_along_the_belt_goes_over_the_reference_splice():
    length_m = belts.conveyor(belts.INCLINE).belt.length_m
    true = TrueCause(C.BELT_SECTION, belt_position_m=1.0)

    place = place_of(true, suspicion(C.BELT_SECTION, belt_position_m=length_m - 2.0))

    assert place.belt_error_m == pytest.approx(3.0)
    assert place.run is None
    assert place.error_m is None


@pytest.mark.parametrize(
    ("position_m", "run"), [(180.0, Run.CARRYING), (180.1, Run.RETURN), (367.0, Run.RETURN)]
)
def test_the_head_pulley_ends_the_carrying_run(position_m, run):
    true = TrueCause(C.HEAD_PULLEY, position_m=position_m)

    assert place_of(true).run is run


def test_no_place_in_the_answer_is_no_error_of_place():
    true = TrueCause(C.CARRYING, position_m=50.0)

    assert place_of(true).error_m is None
    assert place_of(true, suspicion(C.CARRYING)).error_m is None


@pytest.mark.parametrize(
    ("cause", "said", "is_right"),
    [
        ("carrying_idlers_skewed", Side.LEFT, True),
        ("carrying_idlers_skewed", Side.RIGHT, False),
        ("structure_bowed", Side.LEFT, False),
        ("structure_bowed", Side.RIGHT, True),
        ("carrying_idlers_skewed", None, None),
    ],
)
def test_the_belt_is_driven_away_from_a_bow_and_to_the_side_of_all_else(cause, said, is_right):
    true = TrueCause(C.CARRYING, cause=cause, side=Side.LEFT)

    assert place_of(true, suspicion(C.CARRYING, side=said)).side_is_right is is_right


def test_a_pair_is_held_against_the_truth_by_the_classes_of_its_causes():
    case = known_case(TrueCause(C.LOADING), TrueCause(C.TAIL_PULLEY))

    found = judge(
        case,
        answer(EVEN, pair=("tail_pulley_build_up", "off_centre_loading")),
        belts.knowledge(),
    )

    assert found.best_pair == (C.TAIL_PULLEY, C.LOADING)
    assert not found.has_one_cause


def test_a_class_that_the_answer_does_not_hold_has_no_probability():
    found = judge(known_case(TrueCause(C.TAKE_UP)), answer(EVEN), belts.knowledge())

    assert found.stated_of_truth == 0.0
    assert not found.is_among(3)
    assert found.stated == 0.5


def test_the_distance_from_the_onset_is_kept_beside():
    facts = belts.conveyor(belts.INCLINE)
    case = known_case(
        TrueCause(C.CARRYING, position_m=80.0), sightings=belts.walk(facts, 90.0, about=100)
    )

    found = judge(case, answer(EVEN), belts.knowledge())

    assert 10.0 <= found.place.onset_error_m <= 15.0


def ranked(position_m: float | None, *, with_reach: bool = False) -> tuple[CauseClass, ...]:
    facts = belts.conveyor(belts.INCLINE)
    onset = None
    if position_m is not None:
        onset = Onset("anywhere", facts.loop.run_at(position_m), position_m)
    return ranked_by_onset(facts, onset, with_reach=with_reach)


def test_an_onset_in_the_open_suspects_the_idlers_of_its_run():
    assert ranked(100.0)[0] is C.CARRYING
    assert ranked(310.0)[0] is C.RETURN_IDLER


def test_an_onset_some_idlers_past_a_pulley_suspects_the_pulley():
    assert ranked(190.0)[:2] == (C.HEAD_PULLEY, C.RETURN_IDLER)


def test_an_onset_past_the_seam_suspects_the_load_point_and_then_the_tail():
    assert ranked(5.0)[:3] == (C.LOADING, C.TAIL_PULLEY, C.CARRYING)


def test_only_with_reach_a_pulley_ahead_of_the_onset_is_suspected():
    assert ranked(175.0)[0] is C.CARRYING
    assert ranked(175.0, with_reach=True)[0] is C.HEAD_PULLEY
    assert ranked(170.0, with_reach=True)[0] is C.CARRYING


def test_of_two_pulleys_the_nearer_comes_first():
    assert ranked(247.0)[:3] == (C.TAKE_UP, C.BEND_PULLEY, C.RETURN_IDLER)


def test_without_an_onset_the_belt_is_suspected():
    assert ranked(None)[:2] == (C.BELT_SPLICE, C.BELT_SECTION)


@pytest.mark.parametrize("position_m", [None, 0.0, 5.0, 100.0, 180.0, 243.0, 300.0, 366.0])
@pytest.mark.parametrize("with_reach", [False, True])
def test_the_rule_ranks_every_class_of_the_conveyor_once(position_m, with_reach):
    found = ranked(position_m, with_reach=with_reach)

    assert sorted(found) == sorted(set(C) - {C.SURROUNDINGS})


def test_the_rule_leaves_out_what_does_not_stand_on_the_conveyor():
    facts = belts.conveyor(belts.FEEDER)

    found = ranked_by_onset(facts, Onset("C1-9", Run.CARRYING, 15.0), with_reach=True)

    assert not {C.TAKE_UP, C.BEND_PULLEY} & set(found)
