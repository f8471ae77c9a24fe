"""Lines through readings against certified and printed values, the source beside each."""

import numpy as np
import pytest

from workorders.planning.straight_line import least_squares, median_slope

# NIST Statistical Reference Datasets, linear regression, Norris (calibration of ozone monitors):
# x, y, and the certified estimates with their standard deviations.
NORRIS = [
    (0.2, 0.1), (337.4, 338.8), (118.2, 118.1), (884.6, 888.0), (10.1, 9.2), (226.5, 228.1),
    (666.3, 668.5), (996.3, 998.5), (448.6, 449.1), (777.0, 778.9), (558.2, 559.2), (0.4, 0.3),
    (0.6, 0.1), (775.5, 778.1), (666.9, 668.8), (338.0, 339.3), (447.5, 448.9), (11.6, 10.8),
    (556.0, 557.7), (228.1, 228.3), (995.8, 998.0), (887.6, 888.8), (120.2, 119.6), (0.3, 0.3),
    (0.3, 0.6), (556.8, 557.6), (339.1, 339.3), (887.2, 888.0), (999.0, 998.5), (779.0, 778.9),
    (11.1, 10.2), (118.3, 117.6), (229.2, 228.9), (669.1, 668.4), (448.9, 449.2), (0.5, 0.2),
]  # fmt: skip


def test_least_squares_reproduces_nist_strd_norris():
    x, y = np.array(NORRIS).T

    line = least_squares(x, y, 0.0, 0.0)

    assert line.slope == pytest.approx(1.00211681802045, rel=1e-12)
    assert line.slope_error == pytest.approx(0.429796848199937e-03, rel=1e-10)
    assert line.at(0) == pytest.approx(-0.262323073774029, rel=1e-9)
    assert line.error_at(0) == pytest.approx(0.232818234301152, rel=1e-10)
    assert line.sd == pytest.approx(0.884796396144373, rel=1e-10)
    assert line.degrees_of_freedom == 34


def test_median_slope_reproduces_sen_1968():
    # P. K. Sen, J. Amer. Statist. Assoc. 63 (1968) 1379-1389, the worked example.
    times = np.array([1.0, 2, 3, 4, 10, 12, 18])
    values = np.array([9.0, 15, 19, 20, 45, 55, 78])

    assert median_slope(times, values) == 4
