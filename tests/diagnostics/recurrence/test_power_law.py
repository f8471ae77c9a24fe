"""The joint fit against the likelihood itself, and what too few events cannot tell."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize

from diagnostics.recurrence import power_law_limits
from diagnostics.recurrence.goodness_of_fit import cramer_von_mises, critical_distance
from diagnostics.recurrence.histories import EndedBy, Histories, from_lists, histories_of
from diagnostics.recurrence.power_law import PowerLaw, fit_power_law, shape_each
from tests.diagnostics.recurrence.processes import power_law_units

UNLIKE_ENDS, LATE_ENTRIES = [100.0, 70.0, 40.0, 90.0], [0.0, 20.0, 5.0, 50.0]


def unlike(seed: int, entry: list[float] | None = None) -> Histories:
    return power_law_units(np.random.default_rng(seed), 1.4, 25, UNLIKE_ENDS, entry)[1]


def minus_log_likelihood(logs: np.ndarray, histories: Histories) -> float:
    """Of a non-homogeneous Poisson process with rate a b t^(b - 1)."""
    scale, shape = np.exp(logs)
    expected = scale * (histories.end**shape - histories.entry**shape).sum()
    return float(expected - np.log(scale * shape * histories.time ** (shape - 1)).sum())


@pytest.mark.parametrize("entry", [None, LATE_ENTRIES], ids=["from 0", "staggered"])
@pytest.mark.parametrize("seed", range(4))
def test_the_joint_fit_is_the_top_of_the_likelihood_of_all_units(seed, entry):
    histories = unlike(seed, entry)

    fit = fit_power_law(histories)

    searched = minimize(
        minus_log_likelihood, [-3.0, 0.0], (histories,), method="Nelder-Mead",
        options={"xatol": 1e-10, "fatol": 1e-12, "maxiter": 4000},
    )  # fmt: skip
    assert (fit.scale, fit.shape) == pytest.approx(np.exp(searched.x), rel=1e-6)


def test_limits_for_unlike_spans_meet_the_exact_ones_where_spans_are_alike():
    histories = power_law_units(np.random.default_rng(3), 0.8, 12, [50.0] * 3)[1]
    fit = fit_power_law(histories)

    found = power_law_limits.adjusted_shape(
        power_law_limits.Spans.of(histories), fit.events, fit.shape, 0.90
    )

    assert found == pytest.approx((fit.shape_lower, fit.shape_upper), rel=1e-3)


def test_units_alike_are_one_unit_with_all_their_events():
    several = from_lists([[5.0, 9.0], [2.0], [7.0, 8.0]], end=[10.0] * 3)
    together = from_lists([[2.0, 5.0, 7.0, 8.0, 9.0]], end=[10.0])

    fit, one = fit_power_law(several), fit_power_law(together)

    assert (fit.shape, fit.shape_lower) == pytest.approx((one.shape, one.shape_lower))
    assert fit.scale == pytest.approx(one.scale / 3)
    assert fit.mtbf_at_end == pytest.approx(3 * one.mtbf_at_end)


@pytest.mark.parametrize("factor", [1e-6, 24.0, 1e9])
def test_another_unit_of_time_changes_no_shape_and_scales_the_mean_time(factor):
    histories = unlike(1)
    scaled = histories_of(histories.unit, histories.time * factor, end=histories.end * factor)

    fit, other = fit_power_law(histories), fit_power_law(scaled)

    assert other.shape == pytest.approx(fit.shape, rel=1e-9)
    assert other.shape_upper == pytest.approx(fit.shape_upper, rel=1e-6)
    assert other.mtbf_upper == pytest.approx(fit.mtbf_upper * factor, rel=1e-9)


def test_shapes_of_many_units_are_those_of_each_alone():
    times = [[5.0, 9.0, 11.0], [2.0], [], [7.0, 8.0]]
    each = shape_each(from_lists(times, end=[20.0] * 4))

    for index, own in enumerate(times):
        alone = fit_power_law(from_lists([own], end=[20.0]))
        found = (each.shape[index], each.corrected[index], each.lower[index], each.upper[index])
        expected = (alone.shape, alone.shape_corrected, alone.shape_lower, alone.shape_upper)
        assert found == pytest.approx(expected, nan_ok=True)


def test_one_event_has_a_shape_but_no_corrected_one():
    fit = fit_power_law(from_lists([[4.0]], end=[10.0]))

    assert fit.shape == pytest.approx(1 / math.log(2.5))
    assert fit.shape_lower < fit.shape < fit.shape_upper
    assert math.isnan(fit.shape_corrected)
    assert math.isnan(fit.mtbf_at_end)
    assert math.isnan(fit.mtbf_lower)


def test_two_events_ended_by_failure_have_no_corrected_shape():
    fit = fit_power_law(from_lists([[4.0, 10.0]], end=[10.0]), ended_by=EndedBy.FAILURE)

    assert fit.shape == pytest.approx(2 / math.log(2.5))
    assert math.isnan(fit.shape_corrected)


@pytest.mark.parametrize(("times", "end"), [([[10.0, 10.0]], [10.0]), ([[10.0], []], [10.0, 4.0])])
def test_events_at_the_end_alone_fit_no_shape(times, end):
    fit = fit_power_law(from_lists(times, end=end))

    assert math.isnan(fit.shape)
    assert math.isnan(fit.mtbf_upper)


def test_few_events_at_a_high_level_leave_the_mean_time_without_upper_limit():
    fit = fit_power_law(from_lists([[3.0, 8.0]], end=[10.0]), level=0.99)

    assert math.isnan(fit.mtbf_upper)
    assert 0 < fit.mtbf_lower < fit.mtbf_at_end


@pytest.mark.parametrize(
    ("end", "entry"), [([10.0, 9.0], 0.0), ([10.0], 1.0)], ids=["two units", "late entry"]
)
def test_ended_by_failure_is_for_one_unit_from_the_start(end, entry):
    histories = from_lists([[10.0], [9.0]][: len(end)], end=end, entry=entry)

    with pytest.raises(ValueError, match="exactly one unit from entry 0"):
        fit_power_law(histories, ended_by=EndedBy.FAILURE)


def test_a_burst_in_the_middle_is_no_power_law():
    burst = from_lists([np.linspace(48, 52, 25)], end=[100.0])
    even = from_lists([np.linspace(4, 100, 25)], end=[100.0])

    assert cramer_von_mises(burst).distance > 3 * cramer_von_mises(burst).critical
    assert cramer_von_mises(even).distance < cramer_von_mises(even).critical


def test_the_distance_does_not_look_at_the_last_event_that_ended_the_watching():
    by_failure = from_lists([[2.0, 3.0, 7.0, 9.0]], end=[9.0])

    found = cramer_von_mises(by_failure, ended_by=EndedBy.FAILURE)

    # The ages before it are a sample ended by time at the last.
    by_time = cramer_von_mises(from_lists([[2.0, 3.0, 7.0]], end=[9.0]))
    assert found == by_time


@pytest.mark.parametrize(("events", "significance"), [(1, 0.1), (10, 0.6), (10, 1e-4)])
def test_no_critical_distance_is_made_up(events, significance):
    assert math.isnan(critical_distance(events, significance))


def test_short_spans_far_from_zero_leave_almost_any_shape_open():
    def fitted(events: list[float]) -> PowerLaw:
        return fit_power_law(from_lists([events, [], [], []], end=[548.0] * 4, entry=[528.0] * 4))

    middle, late, early = fitted([538.2]), fitted([547.0, 547.9]), fitted([528.5, 530.0])

    # An age that rises by 4 % in all: one event in the middle of it fits 0 and 100 as well.
    assert middle.shape_lower == 0
    assert middle.shape_upper > 100
    assert 0 < late.shape_lower < late.shape < late.shape_upper
    # No power above 0 falls so steeply.
    assert math.isnan(early.shape)
