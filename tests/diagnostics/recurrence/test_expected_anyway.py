"""What belts picked for their bad record would have done anyway."""

import numpy as np
import pytest
from scipy import stats

from diagnostics.recurrence.expected_anyway import expected_anyway
from diagnostics.recurrence.rates import shrunk_rates

# Ten belts of a year each, some much worse than others.
COUNTS = [0, 1, 1, 2, 2, 3, 3, 4, 9, 14]


def test_the_worst_belts_are_expected_to_do_better_by_themselves():
    later = np.where(np.array(COUNTS) >= 9, 1.0, 0.0)

    found = expected_anyway(COUNTS, [1.0] * 10, later, 12)

    prior = shrunk_rates(COUNTS, [1.0] * 10).prior
    # Mean of the two gamma posteriors, by hand.
    assert found.expected == pytest.approx((2 * prior.a + 23) / (prior.b + 1))
    assert 3.9 * 2 < found.expected < 23
    assert found.lower <= found.expected <= found.upper
    assert not found.is_pooled


def test_the_number_of_one_belt_is_negative_binomial_as_scipy_has_it():
    later = np.zeros(10)
    later[9] = 0.5

    found = expected_anyway(COUNTS, [1.0] * 10, later, 3)

    prior = shrunk_rates(COUNTS, [1.0] * 10).prior
    r, p = prior.a + 14, (prior.b + 1) / (prior.b + 1.5)
    assert found.p_as_few == pytest.approx(stats.nbinom.cdf(3, r, p), rel=1e-9)
    assert (found.lower, found.upper) == tuple(stats.nbinom.ppf([0.05, 0.95], r, p))


def test_the_number_of_several_belts_agrees_with_a_sum_by_hand():
    later = np.zeros(10)
    later[[7, 8, 9]] = [0.5, 1.0, 2.0]

    found = expected_anyway(COUNTS, [1.0] * 10, later, 20)

    prior = shrunk_rates(COUNTS, [1.0] * 10).prior
    chances = np.array([1.0])
    for n, time in ((4, 0.5), (9, 1.0), (14, 2.0)):
        p = (prior.b + 1) / (prior.b + 1 + time)
        chances = np.convolve(chances, stats.nbinom.pmf(np.arange(400), prior.a + n, p))
    assert found.p_as_few == pytest.approx(chances[:21].sum(), rel=1e-9)


def test_belts_that_do_not_differ_share_their_rate():
    found = expected_anyway([2, 2, 3, 2, 3], [1.0] * 5, [0, 0, 1.0, 0, 1.0], 6)

    assert found.is_pooled
    # 12.5 / 5 events a belt and time: the worst are expected to be like the others.
    assert found.expected == pytest.approx(12.5 / 5 * 2)
    p = stats.nbinom.cdf(6, 12.5, 5 / 7)
    assert found.p_as_few == pytest.approx(p, rel=1e-9)


def test_a_time_without_any_more_events_is_as_few_as_can_be():
    found = expected_anyway(COUNTS, [1.0] * 10, [0.0] * 8 + [1.0, 1.0], 0)

    assert 0 < found.p_as_few < 0.001


def test_more_than_anybody_expected_is_certain_to_be_as_few():
    assert expected_anyway(COUNTS, [1.0] * 10, [0.01] + [0.0] * 9, 10**6).p_as_few == 1.0


@pytest.mark.parametrize(
    ("counts", "later"),
    [([1, 2], [0, 1.0]), ([0, 0, 0], [1.0, 0, 0]), ([1, 2, 3], [0, 0, 0])],
    ids=["two units", "no events", "none picked"],
)
def test_without_something_to_go_by_there_is_no_figure(counts, later):
    assert expected_anyway(counts, [1.0] * len(counts), later, 1) is None


@pytest.mark.parametrize("later", [[1.0], [np.nan] * 3, [-1.0, 0, 0]])
def test_later_times_out_of_range_are_refused(later):
    with pytest.raises(ValueError, match="later_exposure"):
        expected_anyway([1, 2, 3], [1.0] * 3, later, 1)


@pytest.mark.slow
def test_limits_of_picked_belts_cover_what_they_do():
    # 400 plants of 60 belts, the worst six picked, and nothing done: nominal 90 %.
    rng = np.random.default_rng(11)
    inside = 0
    for _ in range(400):
        rate = rng.gamma(2.0, 1.0, 60)
        counts = rng.poisson(rate)
        worst = np.argsort(counts)[-6:]
        later = np.zeros(60)
        later[worst] = 1.0
        observed = int(rng.poisson(rate[worst].sum()))
        found = expected_anyway(counts, [1.0] * 60, later, observed)
        inside += found.lower <= observed <= found.upper

    # A count's limits hold at least their level; the fitted prior costs a little.
    assert inside / 400 > 0.86
