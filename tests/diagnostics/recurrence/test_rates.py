"""Fair rates: between a unit's own and the others', and only where units do differ."""

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import gamma, nbinom

from diagnostics.recurrence.rates import poisson_limits, shrunk_rates

# Belts of a plant: cases and running hours.
CASES = [0, 1, 1, 2, 3, 4, 9, 14]
HOURS = [3000.0, 4000.0, 800.0, 5000.0, 4100.0, 5200.0, 4800.0, 5000.0]


def test_the_prior_is_the_top_of_the_negative_binomial_likelihood():
    found = shrunk_rates(CASES, HOURS)

    def height(logs: np.ndarray) -> float:
        a, b = np.exp(logs)
        return -nbinom.logpmf(CASES, a, b / (b + np.array(HOURS))).sum()

    searched = minimize(height, [0.0, 6.0], method="Nelder-Mead", options={"xatol": 1e-9})
    assert found.prior is not None
    assert (found.prior.a, found.prior.b) == pytest.approx(np.exp(searched.x), rel=1e-5)
    assert found.prior.log_likelihood == pytest.approx(-searched.fun, abs=1e-8)


def test_posterior_figures_are_those_of_its_gamma_distribution():
    found = shrunk_rates(CASES, HOURS, level=0.8, factor=2.0)

    assert found.prior is not None
    posterior = gamma(found.prior.a + np.array(CASES), scale=1 / (found.prior.b + np.array(HOURS)))
    assert found.shrunk == pytest.approx(posterior.mean())
    assert found.lower == pytest.approx(posterior.ppf(0.1))
    assert found.upper == pytest.approx(posterior.ppf(0.9))
    threshold = 2.0 * np.median(np.array(CASES) / np.array(HOURS))
    assert found.probability_worse == pytest.approx(posterior.sf(threshold))


def test_a_short_watch_is_drawn_further_toward_the_others():
    # 1 case in 800 h and 6 in 4800 h: the same own rate, little and much behind it.
    cases, hours = [*CASES, 6], [*HOURS, 4800.0]

    found = shrunk_rates(cases, hours)

    mean = found.prior.a / found.prior.b
    assert found.rate[2] == found.rate[8] == 0.00125
    assert abs(found.shrunk[2] - mean) < abs(found.shrunk[8] - mean)
    assert found.probability_worse[2] < found.probability_worse[6]


def test_units_as_alike_as_chance_makes_them_share_one_rate():
    found = shrunk_rates([3, 4, 3, 4, 3], [1000.0] * 5)

    assert found.prior is None
    assert found.shrunk == pytest.approx([17 / 5000] * 5)
    assert (found.lower[0], found.upper[0]) == pytest.approx(poisson_limits(17, 5000.0, 0.9))
    assert np.isnan(found.probability_worse).all()


def test_two_units_are_too_few_for_a_prior_however_unlike():
    assert shrunk_rates([0, 90], [1000.0, 1000.0]).prior is None


def test_no_events_leave_an_upper_limit_only():
    found = shrunk_rates([0, 0, 0], [1000.0] * 3)

    assert found.prior is None
    assert found.shrunk.tolist() == found.lower.tolist() == [0, 0, 0]
    # Chi-square 95 % point on 2 degrees of freedom, halved: ln 20.
    assert found.upper == pytest.approx([np.log(20) / 3000] * 3)


def test_with_a_median_of_zero_no_unit_is_called_worse():
    found = shrunk_rates([0, 0, 0, 0, 40], [1000.0] * 5)

    assert found.prior is not None
    assert found.threshold == 0
    assert np.isnan(found.probability_worse).all()
    compared = shrunk_rates([0, 0, 0, 0, 40], [1000.0] * 5, usual=0.008)
    assert compared.probability_worse[4] > 0.99
    assert compared.probability_worse[0] < 0.01


@pytest.mark.parametrize("factor", [1e-6, 24.0, 1e12])
def test_another_unit_of_time_changes_no_probability(factor):
    found, scaled = shrunk_rates(CASES, HOURS), shrunk_rates(CASES, np.multiply(HOURS, factor))

    assert scaled.prior.a == pytest.approx(found.prior.a, rel=1e-9)
    assert scaled.probability_worse == pytest.approx(found.probability_worse, rel=1e-7)
    assert scaled.shrunk * factor == pytest.approx(found.shrunk, rel=1e-9)


def test_very_unlike_units_are_still_fitted():
    found = shrunk_rates([10**6, 0, 0, 3], [1.0, 1e6, 1e-3, 1.0])

    assert found.prior is not None
    assert np.isfinite(found.shrunk).all()
    assert found.shrunk[0] == pytest.approx(1e6, rel=0.01)


@pytest.mark.parametrize(
    ("counts", "hours", "asked", "said"),
    [
        ([-1], [1.0], {}, "counts"),
        ([np.nan], [1.0], {}, "counts"),
        ([1], [0.0], {}, "exposure"),
        ([1], [np.inf], {}, "exposure"),
        ([1, 2], [1.0], {}, "one figure a unit"),
        ([1], [1.0], {"level": 0.0}, "level"),
        ([1], [1.0], {"factor": 0.0}, "factor"),
    ],
)
def test_a_figure_out_of_range_is_refused(counts, hours, asked, said):
    with pytest.raises(ValueError, match=said):
        shrunk_rates(counts, hours, **asked)
