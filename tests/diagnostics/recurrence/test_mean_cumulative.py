"""The mean cumulative function against its definition, unit by unit and step by step."""

import numpy as np
import pytest

from diagnostics.recurrence.histories import Histories, from_lists, histories_of
from diagnostics.recurrence.mean_cumulative import Variance, mean_cumulative
from tests.diagnostics.recurrence.processes import staggered_units


def as_defined(histories: Histories, weight: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Mean and robust error by Lawless and Nadeau's formula with a table of units by times."""
    times = np.unique(histories.time)
    watched = (histories.entry[:, None] < times) & (times <= histories.end[:, None])
    own = np.zeros((histories.units, len(times)))
    np.add.at(own, (histories.unit, np.searchsorted(times, histories.time)), 1)
    at_risk = (watched * weight[:, None]).sum(axis=0)
    step = own.sum(axis=0) / at_risk
    residuals = np.cumsum(watched / at_risk * (own - weight[:, None] * step), axis=1)
    return np.cumsum(step), np.sqrt((residuals**2).sum(axis=0))


@pytest.mark.parametrize("seed", range(40))
def test_mean_and_robust_error_are_those_of_the_definition(seed):
    rng = np.random.default_rng(seed)
    units = int(rng.integers(2, 9))
    histories = staggered_units(rng, units)
    weight = rng.uniform(0.3, 3.0, units)

    found = mean_cumulative(histories, weight=weight)

    mean, error = as_defined(histories, weight)
    assert found.mcf == pytest.approx(mean, rel=1e-12)
    # Squares are carried along: what is left of cancelled digits is below 1e-8 of an event.
    assert found.se == pytest.approx(error, rel=1e-6, abs=1e-7)


def test_limits_stand_on_the_log_scale_and_never_below_zero():
    found = mean_cumulative(staggered_units(np.random.default_rng(5), 6), level=0.99)

    assert (found.lower > 0).all()
    assert np.log(found.upper / found.mcf) == pytest.approx(np.log(found.mcf / found.lower))


def test_a_late_unit_counts_only_from_its_entry():
    # On day 2 one unit is watched, on day 6 both: steps of 1 and 1/2.
    found = mean_cumulative(histories_of([0, 1], [2.0, 6.0], end=[9.0, 9.0], entry=[0.0, 4.0]))

    assert found.at_risk.tolist() == [1.0, 2.0]
    assert found.mcf.tolist() == [1.0, 1.5]


def test_a_unit_that_ends_at_an_event_is_still_watched_then():
    found = mean_cumulative(from_lists([[5.0], []], end=[5.0, 5.0]))

    assert found.mcf.tolist() == [0.5]


def test_equal_times_are_separate_events_of_one_step():
    found = mean_cumulative(from_lists([[3.0, 3.0], [3.0]], end=[5.0, 5.0]))

    assert found.events.tolist() == [3]
    assert found.mcf.tolist() == [1.5]


def test_one_unit_has_poisson_limits_but_no_robust_ones():
    one = from_lists([[1.0, 4.0]], end=[5.0])

    robust, poisson = mean_cumulative(one), mean_cumulative(one, variance=Variance.POISSON)

    assert np.isnan(robust.se).all()
    assert np.isnan(robust.lower).all()
    assert poisson.se == pytest.approx([1.0, np.sqrt(2.0)])


def test_units_with_the_same_history_have_no_spread_between_them():
    found = mean_cumulative(from_lists([[1.0, 4.0]] * 3, end=[5.0] * 3))

    assert found.se == pytest.approx([0.0, 0.0], abs=1e-7)


def test_no_events_give_no_steps():
    found = mean_cumulative(from_lists([[], []], end=[5.0, 7.0]))

    assert found.mcf.size == found.se.size == 0


@pytest.mark.parametrize(
    ("asked", "said"),
    [({"level": 1.0}, "level"), ({"weight": 0.0}, "weight"), ({"weight": [1.0, np.inf]}, "weight")],
)
def test_a_figure_out_of_range_is_refused(asked, said):
    with pytest.raises(ValueError, match=said):
        mean_cumulative(from_lists([[1.0], []], end=[5.0, 5.0]), **asked)
