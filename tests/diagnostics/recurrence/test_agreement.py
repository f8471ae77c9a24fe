"""The same figures from other people's packages, on data of no special shape."""

import lifelines
import numpy as np
import pytest
from lifelines.statistics import multivariate_logrank_test
from reliability.Repairable_systems import MCF_nonparametric, reliability_growth
from scipy import stats

from diagnostics.recurrence.beside_others import Counted, compare_with_others
from diagnostics.recurrence.false_discovery import adjusted_probabilities
from diagnostics.recurrence.goodness_of_fit import cramer_von_mises
from diagnostics.recurrence.histories import EndedBy, Histories, from_lists, histories_of
from diagnostics.recurrence.mean_cumulative import Variance, mean_cumulative
from diagnostics.recurrence.periods import compare_periods
from diagnostics.recurrence.power_law import fit_power_law, shape_each
from diagnostics.recurrence.rates import poisson_limits, shrunk_rates
from diagnostics.recurrence.survival import compare_groups, kaplan_meier
from diagnostics.recurrence.trend_tests import laplace, military_handbook
from tests.diagnostics.recurrence.processes import power_law_units

SEEDS = range(5)


def fixes(seed: int) -> tuple[np.ndarray, np.ndarray, list[str]]:
    """Whole days held, so that there are ties; whether it came back; which fix."""
    rng = np.random.default_rng(seed)
    kinds = rng.choice(["training", "lagging", "cleaner"], 80)
    scale = np.select([kinds == "training", kinds == "lagging"], [30.0, 80.0], 120.0)
    held, watched = np.ceil(rng.exponential(scale)), np.ceil(rng.uniform(20, 200, 80))
    return np.minimum(held, watched), held <= watched, kinds.tolist()


def units(seed: int) -> Histories:
    return power_law_units(np.random.default_rng(seed), 1.3, 30, [100.0, 80.0, 55.0, 97.0])[1]


@pytest.mark.parametrize("seed", SEEDS)
def test_mean_cumulative_function_agrees_with_reliability(seed):
    # Its variance is another estimator (Nelson's), so means alone are compared.
    histories = units(seed)
    times = [[*histories.time[histories.unit == k], end] for k, end in enumerate(histories.end)]

    found = MCF_nonparametric([list(one) for one in times], print_results=False, show_plot=False)

    assert mean_cumulative(histories).mcf == pytest.approx(np.array(found.MCF, float), rel=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_power_law_ended_by_failure_agrees_with_reliability(seed):
    times = np.cumsum(np.random.default_rng(seed).exponential(10, 15)) ** 0.8

    other = reliability_growth(times, model="Crow-AMSAA", print_results=False, show_plot=False)

    fit = fit_power_law(from_lists([times], end=[times[-1]]), ended_by=EndedBy.FAILURE)
    assert (fit.shape, fit.scale) == pytest.approx((other.Beta, other.Lambda), rel=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_kaplan_meier_agrees_with_lifelines(seed):
    held, came_back, _ = fixes(seed)

    found = kaplan_meier(held, came_back, level=0.9)

    other = lifelines.KaplanMeierFitter(alpha=0.1).fit(held, came_back)
    assert found.survival == pytest.approx(other.predict(found.time).to_numpy(), rel=1e-6)
    # At a share of 0 the limits are undefined, and lifelines writes 0.
    defined = found.survival > 0
    limits = other.confidence_interval_.loc[found.time].to_numpy()[defined]
    ours = np.column_stack((found.lower, found.upper))[defined]
    assert ours == pytest.approx(limits, rel=1e-6)
    assert found.median == other.median_survival_time_


@pytest.mark.parametrize("seed", SEEDS)
def test_log_rank_of_three_fixes_agrees_with_lifelines(seed):
    held, came_back, kinds = fixes(seed)

    found = compare_groups(held, came_back, kinds)

    other = multivariate_logrank_test(held, kinds, came_back)
    assert found.df == 2
    assert (found.chi2, found.p) == pytest.approx((other.test_statistic, other.p_value), rel=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_log_rank_of_two_fixes_agrees_with_scipy(seed):
    held, came_back, kinds = fixes(seed)
    first = np.array(kinds) == "training"

    found = compare_groups(held, came_back, first.tolist())

    sides = [
        stats.CensoredData(held[side & came_back], right=held[side & ~came_back])
        for side in (first, ~first)
    ]
    assert found.p == pytest.approx(stats.logrank(*sides).pvalue, rel=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_false_discovery_agrees_with_scipy(seed):
    given = np.random.default_rng(seed).beta(0.5, 2.0, 60).round(2)

    found = adjusted_probabilities(given)

    assert found == pytest.approx(stats.false_discovery_control(given), rel=1e-12)
    # What could not be tested changes nothing for the others.
    with_gap = adjusted_probabilities([np.nan, *given])
    assert np.isnan(with_gap[0])
    assert with_gap[1:] == pytest.approx(found)


@pytest.mark.parametrize(("earlier", "later"), [(0, 4), (7, 0), (12, 5), (140, 160)])
def test_period_ratio_agrees_with_scipy_s_binomial_test(earlier, later):
    found = compare_periods(earlier, 300.0, later, 200.0, level=0.9)

    both = stats.binomtest(later, earlier + later)
    share = both.proportion_ci(0.9, method="exact")
    with np.errstate(divide="ignore"):
        limits = np.array([share.low / (1 - share.low), np.divide(share.high, 1 - share.high)])
    assert [float(found.lower), float(found.upper)] == pytest.approx(limits * 1.5, rel=1e-6)
    tails = [
        stats.binomtest(later, earlier + later, 0.4, alternative=side).pvalue
        for side in ("less", "greater")
    ]
    assert float(found.p_two_sided) == pytest.approx(min(1.0, 2 * min(tails)), rel=1e-6)


@pytest.mark.parametrize("table", [(2, 10, 15, 3), (5, 9, 31, 28), (0, 7, 12, 9), (60, 20, 90, 80)])
def test_a_change_beside_others_agrees_with_scipy_s_odds_ratio(table):
    later, earlier, others_later, others_earlier = table
    found = compare_with_others(
        Counted(earlier, 300.0, later, 300.0), Counted(others_earlier, 90.0, others_later, 90.0)
    )

    both = [[later, earlier], [others_later, others_earlier]]
    other = stats.contingency.odds_ratio(both, kind="conditional")
    limits = other.confidence_interval(0.9)
    assert found is not None
    assert float(found.ratio) == pytest.approx(other.statistic, rel=1e-6)
    ours = [float(found.lower), float(found.upper)]
    assert ours == pytest.approx([limits.low, limits.high], rel=1e-6)
    tails = [stats.fisher_exact(both, side).pvalue for side in ("less", "greater")]
    assert float(found.p_two_sided) == pytest.approx(min(1.0, 2 * min(tails)), rel=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_trend_tests_agree_with_scipy_s_distributions(seed):
    histories = units(seed)

    shares = histories.time / histories.end[histories.unit]
    spans = histories.end[histories.unit]
    score = ((shares - 0.5) * spans).sum() / np.sqrt((spans**2).sum() / 12)
    assert float(laplace(histories).p) == pytest.approx(2 * stats.norm.sf(abs(score)), rel=1e-9)
    handbook = military_handbook(histories)
    lower = stats.chi2.cdf(-2 * np.log(shares).sum(), 2 * histories.events)
    assert float(handbook.p_lower) == pytest.approx(lower, rel=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_mean_cumulative_function_of_late_units_agrees_with_lifelines(seed):
    # Units that are watched until their only event: the mean is then Nelson and Aalen's estimator,
    # which lifelines has with late entries, too.
    rng = np.random.default_rng(seed)
    entry = rng.uniform(0, 30, 60) * (rng.uniform(size=60) < 0.5)
    end = entry + rng.exponential(40, 60)
    has_event = rng.uniform(size=60) < 0.7
    unit = np.flatnonzero(has_event)

    found = mean_cumulative(
        histories_of(unit, end[unit], end=end, entry=entry),
        level=0.9,
        variance=Variance.POISSON,
    )

    other = lifelines.NelsonAalenFitter(alpha=0.1).fit(end, has_event, entry=entry)
    course = other.cumulative_hazard_.loc[found.time].to_numpy().ravel()
    assert found.mcf == pytest.approx(course, rel=1e-6)
    limits = other.confidence_interval_.loc[found.time].to_numpy()
    assert np.column_stack((found.lower, found.upper)) == pytest.approx(limits, rel=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_distance_of_the_fit_agrees_with_scipy(seed):
    histories = units(seed)
    shares = histories.time / histories.end[histories.unit]
    shape = (histories.events - 1) / -np.log(shares).sum()

    found = cramer_von_mises(histories)

    other = stats.cramervonmises(shares**shape, "uniform")
    assert found.distance == pytest.approx(other.statistic, rel=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_fair_rates_agree_with_scipy_s_distributions(seed):
    rng = np.random.default_rng(seed)
    hours = rng.uniform(500, 4000, 40)
    counts = rng.poisson(rng.gamma(1.5, 0.002, 40) * hours)

    found = shrunk_rates(counts, hours, level=0.9, factor=1.5)

    assert found.prior is not None
    a, b = found.prior.a, found.prior.b
    chances = stats.nbinom.logpmf(counts, a, b / (b + hours)).sum()
    assert found.prior.log_likelihood == pytest.approx(chances, rel=1e-9)
    # No prior nearby makes the counts likelier.
    for near_a, near_b in ((a * 1.02, b), (a, b * 1.02), (a * 0.98, b), (a, b * 0.98)):
        assert stats.nbinom.logpmf(counts, near_a, near_b / (near_b + hours)).sum() < chances
    own = stats.gamma(a + counts, scale=1 / (b + hours))
    assert found.shrunk == pytest.approx(own.mean(), rel=1e-9)
    assert found.lower == pytest.approx(own.ppf(0.05), rel=1e-6)
    assert found.upper == pytest.approx(own.ppf(0.95), rel=1e-6)
    usual = 1.5 * np.median(counts / hours)
    assert found.probability_worse == pytest.approx(own.sf(usual), rel=1e-6)


@pytest.mark.parametrize("events", [0, 1, 4, 37, 1200])
def test_exact_limits_of_a_rate_agree_with_scipy(events):
    lower, upper = poisson_limits(events, 7.0, 0.9)

    below = stats.chi2.ppf(0.05, 2 * events) / 2 if events else 0.0
    assert (lower, upper) == pytest.approx(
        (below / 7, stats.chi2.ppf(0.95, 2 * events + 2) / 14), rel=1e-6
    )
    # Each limit leaves 5 % beyond it.
    assert stats.poisson.cdf(events, upper * 7) == pytest.approx(0.05, rel=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_limits_of_a_shape_agree_with_scipy_s_distributions(seed):
    rng = np.random.default_rng(seed)
    times = 200 * rng.uniform(size=12) ** (1 / 1.4)

    each = shape_each(from_lists([times], end=[200.0]), level=0.9)

    shape = 12 / np.log(200 / times).sum()
    assert each.shape[0] == pytest.approx(shape, rel=1e-9)
    ends = shape * stats.chi2.ppf([0.05, 0.95], 24) / 24
    assert [each.lower[0], each.upper[0]] == pytest.approx(ends, rel=1e-6)
