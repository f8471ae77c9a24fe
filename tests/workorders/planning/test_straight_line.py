"""Lines through readings: uncertainty by another way, what is an outlier and what is a jump."""

import numpy as np
import pytest
from scipy import stats

from workorders.planning.straight_line import (
    bend,
    jumps_back,
    least_squares,
    outlying,
    robust_line,
)


def noisy(seed: int, count: int = 12, slope: float = -0.004) -> tuple[np.ndarray, np.ndarray]:
    chance = np.random.default_rng(seed)
    times = np.sort(chance.uniform(0, 2000, count))
    return times, 12 + slope * times + chance.normal(0, 0.3, count)


@pytest.mark.parametrize("seed", range(5))
def test_line_and_its_error_are_those_of_scipy(seed):
    times, values = noisy(seed)

    line, other = least_squares(times, values, 0, 0), stats.linregress(times, values)

    assert line.slope == pytest.approx(other.slope)
    assert line.slope_error == pytest.approx(other.stderr)
    assert line.error_at(0) == pytest.approx(other.intercept_stderr)


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("slope", [-0.004, -0.0001])
def test_at_its_zeros_the_line_is_just_so_many_errors_away(seed, slope):
    line = least_squares(*noisy(seed, slope=slope), 0, 0)

    zeros = line.zeros(2.0)

    assert zeros is not None
    for time in zeros:
        assert abs(line.at(time)) == pytest.approx(2.0 * line.error_at(time), rel=1e-6)


def test_a_line_within_its_error_of_zero_everywhere_has_no_zeros():
    line = least_squares(np.arange(6.0), np.array([0.1, -1, 1, -1, 1, -0.1]), 0, 0)

    assert line.zeros(2.0) is None


def test_known_error_of_readings_is_pooled_with_what_is_seen():
    times, values = noisy(1)
    alone, pooled = least_squares(times, values, 0, 0), least_squares(times, values, 0.5, 10)

    assert pooled.degrees_of_freedom == 20
    expected = (10 * 0.5**2 + 10 * alone.sd**2) / 20
    assert pooled.sd**2 == pytest.approx(expected)


def test_a_gross_slip_is_off_the_line_and_nothing_else():
    times, values = noisy(2)
    values[4] += 30

    off = outlying(times, values, 0.0)

    assert off.tolist() == [place == 4 for place in range(len(times))]


def test_of_four_readings_none_is_called_off_the_line():
    assert not outlying(np.arange(4.0), np.array([1.0, 2, 3, 400]), 0.0).any()


def test_where_a_third_would_be_off_none_is():
    values = np.array([1.0, 2, 300, 4, 5, 600, 7, 8, 900])

    assert not outlying(np.arange(9.0), values, 0.0).any()


def test_one_step_of_a_coarse_scale_is_not_off_the_line():
    values = np.array([12.0, 12, 12, 12, 12, 11.5])

    assert not outlying(np.arange(6.0), values, 0.5).any()
    assert outlying(np.arange(6.0), values, 0.1).any()


def test_robust_line_ignores_a_quarter_of_slips():
    times = np.arange(12.0)
    values = 3 + 2 * times
    values[[1, 5, 10]] = (90, -80, 500)

    line = robust_line(times, values)

    assert (line.slope, line.at_zero) == (2, 3)


@pytest.mark.parametrize("sign", [1, -1])
def test_a_parabola_bends_by_its_own_depth(sign):
    times = np.linspace(0, 10, 11)
    values = 5 - times + sign * 0.1 * (times - 5) ** 2

    depth, error = bend(times, values, least_squares(times, values, 0, 0))

    # From -1.0 at the middle to 1.5 at the ends about the mean square of 10.
    assert depth == pytest.approx(sign * 1.5)
    assert error == pytest.approx(0, abs=1e-9)


def test_new_lagging_shows_as_a_jump_back():
    times = np.arange(8.0)

    assert jumps_back(times, np.array([12, 11.1, 10, 8.9, 8, 11.9, 11, 10.1]))


@pytest.mark.parametrize(
    "values",
    [
        [12, 11.1, 10, 8.9, 8, 7.1, 6, 5.1],
        [12, 11.1, 10, 5.0, 8, 7.1, 6, 5.1],
        [12, 11.1, 10, 8.9, 8, 11.9, 6, 5.1],
        [12, 12, 12, 12, 12, 12, 12, 12],
        [12, 12.2, 11.9, 12.1, 12, 11.8, 12.2, 12],
    ],
    ids=["steady", "one low slip", "one high slip", "no wear", "noise"],
)
def test_nothing_else_shows_as_a_jump_back(values):
    assert not jumps_back(np.arange(8.0), np.array(values, float))
