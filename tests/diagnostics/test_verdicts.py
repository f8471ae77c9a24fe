"""An answer held against what was accepted later, and what many come to."""

import math

import pytest

from diagnostics.inference.evaluation.verdicts import (
    NOT_NAMED,
    Verdict,
    scores_of,
    verdict_on,
)

ANSWER = [("tail_pulley", 0.5), ("take_up", 0.3), ("loading", 0.2)]
CAUSES = ["tail_pulley_skewed", "take_up_carriage_skewed", "tail_pulley_build_up"]


def verdict(true_class: str, true_cause: str) -> Verdict:
    return verdict_on(ANSWER, CAUSES, true_classes={true_class}, true_causes={true_cause})


def test_class_and_cause_are_ranked_each_by_its_own_order():
    found = verdict("tail_pulley", "tail_pulley_build_up")

    assert (found.class_rank, found.cause_rank) == (1, 3)
    assert found.stated == found.of_truth == 0.5
    # (0.5 - 1)^2 + 0.3^2 + 0.2^2
    assert found.brier == pytest.approx(0.38)


def test_what_was_not_named_has_no_rank_and_no_probability():
    found = verdict("belt_splice", "crooked_splice")

    assert (found.class_rank, found.cause_rank, found.of_truth) == (None, None, 0)
    # 0.5^2 + 0.3^2 + 0.2^2 + 1
    assert found.brier == pytest.approx(1.38)


def test_of_two_true_causes_the_earlier_counts():
    found = verdict_on(
        ANSWER,
        CAUSES,
        true_classes={"loading", "take_up"},
        true_causes={"off_centre_loading", "take_up_carriage_skewed"},
    )

    assert (found.class_rank, found.cause_rank, found.of_truth) == (2, 2, 0.3)


def test_a_cause_named_before_any_answer_is_a_miss_but_no_statement():
    first = verdict("tail_pulley", "tail_pulley_skewed")

    scores = scores_of([first, NOT_NAMED])

    assert (scores.cases, scores.answered) == (2, 1)
    assert scores.classes.first.hits == scores.causes.first.hits == 1
    assert scores.classes.first.share == scores.classes.among.share == 0.5
    assert scores.brier == first.brier
    assert scores.log_score == pytest.approx(math.log(0.5))
    assert [one.hit_rate.of for one in scores.calibration] == [1]


def test_a_truth_without_probability_is_told_apart_from_the_log_score():
    scores = scores_of([verdict("take_up", "x"), verdict("belt_splice", "crooked_splice")])

    assert scores.impossible == 1
    assert scores.log_score == pytest.approx(math.log(0.3))
    assert scores.classes.among.hits == 1


def test_of_no_case_there_is_nothing_to_say():
    assert scores_of([]) is None
    assert scores_of([NOT_NAMED]).brier is None
