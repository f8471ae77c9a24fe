"""Weibull life: exact likelihood, against scipy's own censored fit, edges, invariances."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import CensoredData, chi2, weibull_min

from workorders.planning.lives import Lives
from workorders.planning.weibull import Weibull, fit_weibull

SEEN = [(120.0, True, 1), (300.0, False, 2), (340.0, True, 3), (500.0, True, 1), (700.0, False, 4)]


def drawn(seed: int, size: int = 60) -> list[tuple[float, bool, int]]:
    chance = np.random.default_rng(seed)
    ages = 1000 * chance.weibull(chance.uniform(0.6, 4), size)
    ends = chance.uniform(200, 2000, size)
    return [(min(a, e), bool(a <= e), 1) for a, e in zip(ages, ends, strict=True)]


def loglik(life: Weibull, seen: list[tuple[float, bool, int]]) -> float:
    of = weibull_min(life.shape, scale=life.scale)
    return sum(n * (of.logpdf(age) if failed else of.logsf(age)) for age, failed, n in seen)


@pytest.mark.parametrize("seed", range(3))
def test_fit_agrees_with_scipys_fit_of_censored_data(seed):
    seen = drawn(seed)
    data = CensoredData([a for a, f, _ in seen if f], right=[a for a, f, _ in seen if not f])
    shape, _, scale = weibull_min.fit(data, floc=0)

    fit = fit_weibull(Lives.of(seen))

    # scipy searches the maximum by a simplex of stated looseness.
    assert fit.life.shape == pytest.approx(shape, rel=1e-4)
    assert fit.life.scale == pytest.approx(scale, rel=1e-4)


def test_loglik_is_densities_of_failures_and_survivals_of_the_others():
    fit = fit_weibull(Lives.of(SEEN))

    assert fit.loglik == pytest.approx(loglik(fit.life, SEEN), rel=1e-12)


@pytest.mark.parametrize("level", [0.5, 0.9, 0.99])
def test_at_the_limits_of_the_shape_the_best_likelihood_has_fallen_by_the_quantile(level):
    fit = fit_weibull(Lives.of(SEEN), level)
    failed = sum(n for _, is_failure, n in SEEN if is_failure)

    for shape in (fit.shape_lower, fit.shape_upper):
        scale = (sum(n * age**shape for age, _, n in SEEN) / failed) ** (1 / shape)
        fall = fit.loglik - loglik(Weibull(shape, scale), SEEN)
        assert 2 * fall == pytest.approx(chi2.ppf(level, 1), rel=1e-8)


def test_limits_keep_their_digits_for_very_many_lives():
    few = Lives.of([(100, True, 10), (150, True, 10), (300, False, 10)])
    many = Lives.of([(100, True, 10**12), (150, True, 10**12), (300, False, 10**12)])

    wide, narrow = fit_weibull(few), fit_weibull(many)

    assert narrow.life.shape == pytest.approx(wide.life.shape, rel=1e-12)
    # The log-likelihood grows in proportion, so the limits close in by the root.
    width = (narrow.shape_upper - narrow.shape_lower) * math.sqrt(1e11)
    assert width == pytest.approx(wide.shape_upper - wide.shape_lower, rel=0.03)
    assert narrow.shape_lower < narrow.life.shape < narrow.shape_upper


@pytest.mark.parametrize(
    "seen",
    [
        [(100, False, 5)],
        [(100, True, 1)],
        [(100, True, 1), (400, False, 30)],
        [(100, True, 2), (400, False, 30)],
        [(1e300, True, 1), (1.0000000000000002e300, True, 1)],
    ],
    ids=["none failed", "one failed", "one among many", "two at one age", "rounding apart"],
)
def test_without_two_distinct_failure_ages_there_is_no_fit(seen):
    assert fit_weibull(Lives.of(seen)) is None


def test_a_scale_past_all_numbers_is_no_fit():
    seen = [(1e-300, True, 1), (1e-299, True, 1), (1e300, False, 10**12)]

    assert fit_weibull(Lives.of(seen)) is None


def test_two_failures_at_the_greatest_ages_are_enough():
    fit = fit_weibull(Lives.of([(1, False, 9), (99, True, 1), (100, True, 1)]))

    assert fit.shape_lower < fit.life.shape < fit.shape_upper


lives = st.lists(
    st.tuples(st.floats(1, 1e5), st.booleans(), st.integers(1, 50)), min_size=2, max_size=12
)


@settings(max_examples=60, deadline=None)
@given(lives, st.floats(1e-6, 1e6))
def test_another_unit_of_age_changes_the_scale_alone(seen, factor):
    fit = fit_weibull(Lives.of(seen))
    other = fit_weibull(Lives.of([(age * factor, failed, n) for age, failed, n in seen]))

    assert (fit is None) == (other is None)
    if fit is None:
        return
    # Two failures next to each other: the logs have lost their digits.
    loose = 1e-13 * fit.life.shape
    assert other.life.shape == pytest.approx(fit.life.shape, rel=1e-9 + loose)
    assert other.life.scale == pytest.approx(fit.life.scale * factor, rel=1e-9 + loose)
    assert other.shape_lower == pytest.approx(fit.shape_lower, rel=1e-6 + loose)
    assert other.shape_upper == pytest.approx(fit.shape_upper, rel=1e-6 + loose)


@settings(max_examples=60, deadline=None)
@given(lives)
def test_a_count_is_that_many_rows_and_order_is_nothing(seen):
    apart = [(age, failed, 1) for age, failed, n in reversed(seen) for _ in range(n)]

    assert fit_weibull(Lives.of(seen)) == fit_weibull(Lives.of(apart))


@settings(max_examples=60, deadline=None)
@given(lives)
def test_no_shape_and_scale_nearby_is_likelier(seen):
    fit = fit_weibull(Lives.of(seen))

    if fit is None or fit.life.shape > 1e4:
        return
    for shape_by, scale_by in ((1.01, 1), (0.99, 1), (1, 1.01), (1, 0.99)):
        near = Weibull(fit.life.shape * shape_by, fit.life.scale * scale_by)
        assert loglik(near, seen) < fit.loglik + 1e-9 * abs(fit.loglik)


@pytest.mark.parametrize("bad", [(0, True, 1), (-1, True, 1), (math.nan, True, 1), (5, True, 0)])
def test_impossible_lives_are_refused(bad):
    with pytest.raises(ValueError, match="got"):
        Lives.of([bad])
