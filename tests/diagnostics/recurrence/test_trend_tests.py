"""Trend tests: their signs, their pooling, and what they do without evidence."""

import numpy as np
import pytest

from diagnostics.recurrence.histories import EndedBy, from_lists, histories_of
from diagnostics.recurrence.trend_tests import (
    laplace,
    laplace_each,
    military_handbook,
    military_handbook_each,
)
from tests.diagnostics.recurrence.processes import constant_units, staggered_units

EARLY, LATE = [1.0, 2.0, 4.0, 9.0], [91.0, 96.0, 98.0, 99.0]


def test_events_that_thin_out_give_a_negative_score_and_a_large_chi_square():
    early, late = from_lists([EARLY], end=[100.0]), from_lists([LATE], end=[100.0])

    assert laplace(early).u < -2
    assert laplace(late).u == pytest.approx(-laplace(early).u)
    assert military_handbook(early).p_lower > 0.99
    assert military_handbook(late).p_lower < 0.01


def test_pooled_tests_of_one_unit_are_its_own():
    one = staggered_units(np.random.default_rng(1), 1)

    assert laplace_each(one).u == pytest.approx([float(laplace(one).u)])
    assert military_handbook_each(one).chi2 == pytest.approx([float(military_handbook(one).chi2)])


def test_units_that_differ_in_rate_and_span_are_no_trend():
    # Busy units are watched early, quiet ones to the end: counted together, events thin out.
    rng = np.random.default_rng(2)
    histories = constant_units(rng, [2.0] * 20 + [0.05] * 20, [20.0] * 20 + [400.0] * 20)

    assert abs(laplace(histories).u) < 3
    together = from_lists([histories.time], end=[400.0])
    assert laplace(together).u < -10


def test_a_late_entry_moves_the_span_and_nothing_else():
    shifted = histories_of([0] * 4, np.add(EARLY, 50), end=[150.0], entry=[50.0])

    assert laplace(shifted).u == pytest.approx(laplace(from_lists([EARLY], end=[100.0])).u)
    assert military_handbook(shifted).chi2 == pytest.approx(
        military_handbook(from_lists([EARLY], end=[100.0])).chi2
    )


def test_ended_by_failure_the_last_event_only_sets_the_span():
    by_failure = from_lists([[*EARLY, 40.0]], end=[40.0])
    by_time = from_lists([EARLY], end=[40.0])

    assert laplace(by_failure, EndedBy.FAILURE).u == pytest.approx(laplace(by_time).u)
    found = military_handbook(by_failure, EndedBy.FAILURE)
    assert (float(found.chi2), found.df) == (pytest.approx(military_handbook(by_time).chi2), 8)


def test_several_units_ended_by_failure_are_pooled_with_one_event_less_each():
    histories = from_lists([EARLY, [3.0, 30.0]], end=[9.0, 30.0])

    found = military_handbook(histories, EndedBy.FAILURE)

    assert found.df == 2 * (3 + 1)
    assert found.chi2 == pytest.approx(2 * np.log([9 / 1, 9 / 2, 9 / 4, 30 / 3]).sum())


def test_a_unit_that_goes_on_is_not_ended_by_failure():
    with pytest.raises(ValueError, match=r"unit 0 ends at 100\.0"):
        laplace(from_lists([EARLY], end=[100.0]), EndedBy.FAILURE)


@pytest.mark.parametrize(
    ("times", "ended_by"), [([], EndedBy.TIME), ([7.0], EndedBy.FAILURE)], ids=["none", "only last"]
)
def test_without_evidence_nothing_is_claimed(times, ended_by):
    histories = from_lists([times], end=[7.0])

    assert np.isnan(laplace(histories, ended_by).u)
    found = military_handbook(histories, ended_by)
    assert np.isnan([found.chi2, found.p_lower, found.p_two_sided]).all()
    assert found.df == 0


def test_all_events_at_the_end_are_the_strongest_growth():
    found = military_handbook(from_lists([[5.0, 5.0]], end=[5.0]))

    assert (float(found.chi2), float(found.p_lower), float(found.p_two_sided)) == (0, 0, 0)
