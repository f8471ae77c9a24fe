"""Life statistics against two other programs on generated lives, and how often limits hold.

`lifelines` and `reliability` are references of the tests alone; importing them takes seconds.
"""

import warnings

import numpy as np
import pytest

from workorders.planning.lives import Lives
from workorders.planning.survival import kaplan_meier
from workorders.planning.weibull import fit_weibull

pytestmark = pytest.mark.slow

RUNS = 2000


def generated(seed: int, size: int) -> tuple[np.ndarray, np.ndarray]:
    """Ages and whether each failed, ages rounded so that some are equal."""
    chance = np.random.default_rng(seed)
    lived = 9000 * chance.weibull(chance.uniform(0.7, 3.5), size)
    watched = chance.uniform(1000, 15000, size)
    return np.round(np.minimum(lived, watched), -1) + 10, lived <= watched


def lives_of(ages: np.ndarray, failed: np.ndarray) -> Lives:
    pairs = zip(ages.tolist(), failed.tolist(), strict=True)
    return Lives.of((age, is_failure, 1) for age, is_failure in pairs)


@pytest.mark.parametrize("seed", range(4))
def test_weibull_fit_agrees_with_lifelines_and_reliability(seed):
    from lifelines import WeibullFitter
    from reliability.Fitters import Fit_Weibull_2P

    ages, failed = generated(seed, 300)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        one = WeibullFitter().fit(ages, failed)
        other = Fit_Weibull_2P(
            failures=ages[failed],
            right_censored=ages[~failed],
            show_probability_plot=False,
            print_results=False,
        )

    fit = fit_weibull(lives_of(ages, failed))

    assert fit.loglik == pytest.approx(one.log_likelihood_, rel=1e-8)
    assert fit.loglik == pytest.approx(other.loglik, rel=1e-8)
    # Both search the maximum, where the likelihood is flat.
    for shape, scale in ((one.rho_, one.lambda_), (other.beta, other.alpha)):
        assert fit.life.shape == pytest.approx(shape, rel=1e-5)
        assert fit.life.scale == pytest.approx(scale, rel=1e-5)
    assert fit.loglik >= one.log_likelihood_ - 1e-9 * abs(fit.loglik)


@pytest.mark.parametrize("seed", range(4))
def test_survival_and_its_limits_agree_with_lifelines(seed):
    from lifelines import KaplanMeierFitter

    ages, failed = generated(seed, 200)
    other = KaplanMeierFitter(alpha=0.10).fit(ages, failed)
    lower, upper = (other.confidence_interval_.iloc[:, column] for column in (0, 1))

    steps = kaplan_meier(lives_of(ages, failed), 0.90)

    assert [step.age for step in steps] == sorted(set(ages[failed].tolist()))
    for step in steps:
        if step.se is None:
            continue
        assert step.survival == pytest.approx(other.predict(step.age), abs=1e-9)
        assert step.lower == pytest.approx(lower.loc[step.age], abs=1e-6)
        assert step.upper == pytest.approx(upper.loc[step.age], abs=1e-6)


@pytest.mark.parametrize(("shape", "size"), [(0.8, 15), (2.0, 15), (2.0, 60), (3.5, 30)])
def test_profile_limits_of_the_shape_hold_as_often_as_they_say(shape, size):
    chance = np.random.default_rng(20261128)
    held = fitted = 0
    for _ in range(RUNS):
        lived = 9000 * chance.weibull(shape, size)
        watched = chance.uniform(3000, 15000, size)
        fit = fit_weibull(lives_of(np.minimum(lived, watched), lived <= watched), 0.90)
        if fit is not None:
            fitted += 1
            held += fit.shape_lower <= shape <= fit.shape_upper

    assert fitted > 0.99 * RUNS
    assert 0.86 <= held / fitted <= 0.94


def test_survival_limits_hold_as_often_as_they_say():
    chance = np.random.default_rng(20261129)
    age, shape, scale = 6000.0, 2.0, 9000.0
    held = 0
    for _ in range(RUNS):
        lived = scale * chance.weibull(shape, 60)
        watched = chance.uniform(3000, 15000, 60)
        steps = kaplan_meier(lives_of(np.minimum(lived, watched), lived <= watched), 0.90)
        last = [step for step in steps if step.age <= age][-1]
        held += last.lower <= np.exp(-((age / scale) ** shape)) <= last.upper

    assert 0.86 <= held / RUNS <= 0.94
