"""Share that survives: ties, the end of the curve, limits."""

import pytest

from workorders.planning.lives import Lives
from workorders.planning.survival import kaplan_meier


def test_lives_taken_out_at_a_failure_age_still_count_there():
    (step,) = kaplan_meier(Lives.of([(100, True, 1), (100, False, 3), (50, False, 7)]))

    assert step.survival == pytest.approx(3 / 4)


def test_equal_failure_ages_are_one_step():
    (step,) = kaplan_meier(Lives.of([(100, True, 1), (100, True, 1), (200, False, 2)]))

    assert (step.age, step.survival) == (100, pytest.approx(0.5))
    # Binomial standard error: nothing was censored before.
    assert step.se == pytest.approx((0.5 * 0.5 / 4) ** 0.5)


def test_where_nothing_survives_the_error_is_undefined():
    last = kaplan_meier(Lives.of([(100, True, 1), (200, True, 2)]))[-1]

    assert (last.survival, last.se, last.lower, last.upper) == (0, None, None, None)


def test_without_failures_there_is_no_step():
    assert kaplan_meier(Lives.of([(100, False, 3)])) == ()


def test_limits_stay_between_nothing_and_all_and_hold_the_estimate():
    seen = [(float(age), age % 3 != 0, 1 + age % 4) for age in range(1, 40)]

    for level in (0.5, 0.9, 0.999999):
        for step in kaplan_meier(Lives.of(seen), level):
            assert 0 <= step.lower < step.survival < step.upper <= 1


def test_survival_falls_from_step_to_step():
    seen = [(float(age), age % 3 != 0, 1 + age % 4) for age in range(1, 40)]

    shares = [step.survival for step in kaplan_meier(Lives.of(seen))]

    assert shares == sorted(shares, reverse=True)
    assert len(set(shares)) == len(shares)
