"""Scores of judged cases: counts, intervals, bins, Brier score, places, two causes apart."""

import json
import math

import pytest

from diagnostics.inference.evaluation.calibration import (
    Statement,
    brier_score,
    calibration_bins,
)
from diagnostics.inference.evaluation.evaluation import evaluate
from diagnostics.inference.evaluation.hits import ENGINE, ONSET_RULE, ONSET_RULE_WITH_REACH
from diagnostics.inference.evaluation.judging import Place
from diagnostics.inference.evaluation.page import page_of
from diagnostics.inference.evaluation.rates import rate_of, rate_or_none, spread_of, wilson_interval
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.vocabulary import Run
from tests.diagnostics.judged_cases import judged

C = CauseClass


def test_an_interval_stays_within_0_and_1_and_holds_the_share():
    for of in (1, 2, 7, 50, 1000):
        for hits in {0, 1, of // 2, of}:
            lower, upper = wilson_interval(hits, of)

            assert 0 <= lower <= hits / of <= upper <= 1


def test_an_interval_mirrors_with_its_share():
    lower, upper = wilson_interval(12, 40, 0.9)

    assert wilson_interval(28, 40, 0.9) == pytest.approx((1 - upper, 1 - lower))


def test_a_higher_level_makes_a_wider_interval():
    assert wilson_interval(3, 9, 0.99)[0] < wilson_interval(3, 9, 0.9)[0]


@pytest.mark.parametrize("counts", [(1, 0), (-1, 5), (6, 5)])
def test_impossible_counts_are_refused(counts):
    with pytest.raises(ValueError, match="hits"):
        wilson_interval(*counts)


@pytest.mark.parametrize("level", [0, 1, 1.5, float("nan")])
def test_a_level_that_is_no_probability_is_refused(level):
    with pytest.raises(ValueError, match="level"):
        wilson_interval(1, 2, level)


def test_a_rate_counts_its_cases_and_is_none_of_none():
    rate = rate_of([True, False, True, True])

    assert (rate.hits, rate.of, rate.share) == (3, 4, 0.75)
    assert rate_or_none([]) is None


def test_quartiles_lie_between_the_order_statistics():
    spread = spread_of([4.0, 1.0, 2.0, 3.0, 10.0])

    assert spread.count == 5
    assert (spread.lower_quartile_m, spread.median_m, spread.upper_quartile_m) == (2.0, 3.0, 4.0)
    assert spread_of([]) is None


def test_the_brier_score_is_0_for_certainty_and_2_for_certainty_about_something_else():
    assert brier_score({C.LOADING: 1.0, C.TAKE_UP: 0.0}, C.LOADING) == 0.0
    assert brier_score({C.LOADING: 1.0, C.TAKE_UP: 0.0}, C.TAKE_UP) == 2.0
    assert brier_score({C.LOADING: 1.0}, C.TAKE_UP) == 2.0


def test_the_brier_score_of_even_classes_is_one_less_their_share():
    nine = {name: 1 / 9 for name in C if name is not C.SURROUNDINGS}

    assert brier_score(nine, C.LOADING) == pytest.approx(8 / 9)


def test_bins_hold_equal_numbers_of_neighbours_and_every_statement_once():
    statements = [Statement(number / 200, number % 2 == 0) for number in range(200)]

    bins = calibration_bins(reversed(statements), 0.95)

    assert [one.hit_rate.of for one in bins] == [50, 50, 50, 50]
    assert [one.hit_rate.share for one in bins] == [0.5] * 4
    assert bins[0].stated_from == 0.0
    assert bins[0].stated_to == 49 / 200
    assert bins[0].mean_stated == pytest.approx(49 / 400)
    assert bins[0].difference == pytest.approx(49 / 400 - 0.5)
    assert bins[-1].stated_to == 199 / 200


@pytest.mark.parametrize(
    ("cases", "sizes"),
    [(0, []), (7, [7]), (99, [99]), (100, [50, 50]), (149, [74, 75]), (4000, [500] * 8)],
)
def test_bins_hold_at_least_50_cases_where_there_are_enough(cases, sizes):
    statements = [Statement(0.5, True)] * cases

    assert [one.hit_rate.of for one in calibration_bins(statements, 0.95)] == sizes


def scores(*cases):
    found = evaluate(cases).one_cause
    assert found is not None
    return found


def test_first_and_first_three_are_counted_for_the_engine_and_for_the_rule():
    found = scores(judged(C.TAIL_PULLEY), judged(C.LOADING), judged(C.CARRYING))

    assert [found.hits[ENGINE].first.hits, found.hits[ENGINE].among.hits] == [1, 2]
    assert [found.hits[ONSET_RULE].first.hits, found.hits[ONSET_RULE].among.hits] == [1, 3]
    assert found.hits[ONSET_RULE_WITH_REACH].first.hits == 1


def test_each_true_class_has_its_own_counts():
    found = scores(judged(C.TAIL_PULLEY), judged(C.TAIL_PULLEY), judged(C.CARRYING))

    assert list(found.by_class) == [C.CARRYING, C.TAIL_PULLEY]
    assert found.by_class[C.TAIL_PULLEY][ENGINE].first.of == 2
    assert found.by_class[C.CARRYING][ENGINE].among.hits == 0


def test_effects_are_parted_at_50_and_80_mm():
    sizes = (10.0, 49.9, 50.0, 79.0, 80.0, 300.0, None)

    found = scores(*(judged(peak_effect_mm=size) for size in sizes))

    assert [(one.from_mm, one.to_mm, one.hits[ENGINE].first.of) for one in found.by_effect] == [
        (0.0, 50.0, 2),
        (50.0, 80.0, 2),
        (80.0, None, 2),
    ]


def test_mean_brier_score_and_log_probability_are_means_over_cases():
    found = scores(judged(C.TAIL_PULLEY), judged(C.RETURN_IDLER))

    right = 0.3**2 + 0.2**2 + 0.1**2
    wrong = 0.7**2 + 0.2**2 + 0.9**2
    assert found.brier == pytest.approx((right + wrong) / 2)
    assert found.mean_log_probability == pytest.approx((math.log(0.7) + math.log(0.1)) / 2)


def test_a_truth_without_any_probability_leaves_no_mean_log_probability_and_says_so():
    found = scores(judged(C.TAIL_PULLEY), judged(C.TAKE_UP, name="J-9"))

    assert found.mean_log_probability is None
    assert any("J-9" in note for note in found.notes)


def test_errors_of_place_are_parted_by_run_and_idlers_stand_apart():
    found = scores(
        judged(C.TAIL_PULLEY, place=Place(run=Run.RETURN, error_m=0.0, onset_error_m=20.0)),
        judged(C.RETURN_IDLER, place=Place(run=Run.RETURN, error_m=6.0, onset_error_m=30.0)),
        judged(C.CARRYING, place=Place(run=Run.CARRYING, error_m=2.0)),
        judged(C.BELT_SECTION, place=Place(belt_error_m=9.0)),
    ).places

    assert found.by_run[Run.RETURN].median_m == 3.0
    assert found.rows_by_run[Run.RETURN].median_m == 6.0
    assert found.onset_by_run[Run.RETURN].median_m == 25.0
    assert found.by_run[Run.CARRYING].count == 1
    assert found.onset_by_run[Run.CARRYING] is None
    assert found.belt_position.median_m == 9.0
    assert any("onset" in note and "carrying" in note for note in found.notes)


def test_two_causes_stand_apart_and_one_named_early_is_enough():
    pair = (C.LOADING, C.CARRYING)
    found = evaluate(
        [
            judged(C.LOADING, C.CARRYING, best_pair=(C.CARRYING, C.LOADING)),
            judged(C.TAIL_PULLEY, C.CARRYING, best_pair=pair),
            judged(C.TAKE_UP, C.CARRYING),
            judged(C.TAIL_PULLEY, best_pair=pair),
            judged(C.TAIL_PULLEY),
        ]
    )

    assert found.two_causes.cases == 3
    assert found.two_causes.hits[ENGINE].first.hits == 1
    assert found.two_causes.hits[ENGINE].among.hits == 2
    assert found.two_causes.recognised.hits == 2
    assert found.two_causes.both_in_best_pair.hits == 1
    assert found.one_cause.cases == 2
    assert found.one_cause.called_two.hits == 1


def test_every_interval_has_the_stated_level():
    cases = [judged(C.TAIL_PULLEY), judged(C.LOADING)]

    narrow, wide = evaluate(cases, 0.5), evaluate(cases, 0.99)

    assert (narrow.level, wide.level) == (0.5, 0.99)
    assert narrow.one_cause.hits[ENGINE].first.lower > wide.one_cause.hits[ENGINE].first.lower
    assert narrow.one_cause.calibration[0].hit_rate == narrow.one_cause.hits[ENGINE].first


@pytest.mark.parametrize(
    "cases",
    [
        [judged(C.TAIL_PULLEY)],
        [judged(C.TAKE_UP)],
        [judged(C.TAIL_PULLEY, C.LOADING)],
        [judged(C.TAIL_PULLEY), judged(C.TAIL_PULLEY, C.LOADING)],
    ],
)
def test_json_is_strict_and_every_null_has_a_note_beside_it(cases):
    document = json.loads(json.dumps(evaluate(cases).as_json(), allow_nan=False))

    def check(value, notes):
        if isinstance(value, dict):
            notes = value.get("notes", notes)
            for one in value.values():
                check(one, notes)
        elif isinstance(value, list):
            for one in value:
                check(one, notes)
        else:
            assert value is not None or notes

    check(document, [])


def test_a_page_holds_every_part_within_its_width():
    page = page_of(
        evaluate(
            [
                judged(C.TAIL_PULLEY, peak_effect_mm=60.0),
                judged(C.TAKE_UP, name="J-7"),
                judged(C.TAIL_PULLEY, C.LOADING),
            ]
        )
    )

    for words in ("first right", "onset", "Brier", "Two causes", "J-7: is take_up", "Notes:"):
        assert words in page
    assert max(len(line) for line in page.splitlines()) <= 100
    assert "95%" in page
