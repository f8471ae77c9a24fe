"""Power-law process against printed examples; where a source is from memory, it says so."""

import json
from pathlib import Path

import pytest

from diagnostics.recurrence import goodness_of_fit, power_law, power_law_limits
from diagnostics.recurrence.histories import from_lists

TIMES = json.loads((Path(__file__).parent / "data/repair_times.json").read_text(encoding="utf-8"))
# NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.2: ten repairs [h], observed to 1500 h.
NIST = TIMES["nist"]
# MIL-HDBK-189 (1981), appendix C: 27 failures, two at the same time, test ended at 300 h.
HANDBOOK = TIMES["mil_hdbk_189_1981_C"]


def test_power_law_fit_reproduces_nist_handbook_8_4_5_2():
    fit = power_law.fit_power_law(from_lists([NIST["times"]], end=[1500]), level=0.80)

    assert fit.shape_corrected == pytest.approx(0.483506, abs=5e-7)  # < 1: faults are thinning out
    assert fit.scale_corrected == pytest.approx(0.2913003, abs=5e-8)
    assert fit.mtbf_at_end == pytest.approx(310.234, abs=5e-4)
    assert fit.mtbf_lower == pytest.approx(157.7138, abs=5.1e-5)
    assert fit.mtbf_upper == pytest.approx(548.5566, abs=5.1e-5)


def test_power_law_fit_reproduces_mil_hdbk_189_1981_appendix_c():
    fit = power_law.fit_power_law(from_lists([HANDBOOK["times"]], end=[300]))

    assert fit.shape == pytest.approx(0.7163393, abs=5.1e-8)
    assert fit.scale == pytest.approx(0.4538419, abs=5.1e-8)
    assert fit.shape_corrected == pytest.approx(0.6898082, abs=5.1e-8)
    assert fit.scale * fit.shape * 300 ** (fit.shape - 1) == pytest.approx(0.0644705, abs=5.1e-8)


# Crow 1974, also MIL-HDBK-189: three identical systems to 200 h, 36 failures; printed: shape
# 0.615, scale 0.461, distance of the fit 0.069. Times and results from memory.
CROW_1974_H = [
    [4.3, 4.4, 10.2, 23.5, 23.8, 26.4, 74.0, 77.1, 92.1, 197.2],
    [
        *(0.1, 5.6, 18.6, 19.5, 24.2, 26.7, 45.1, 45.8, 75.7, 79.7, 98.6, 120.1),
        *(161.8, 180.6, 190.8),
    ],
    [8.4, 32.5, 44.7, 48.4, 50.6, 73.6, 98.7, 112.2, 129.8, 136.0, 195.8],
]


def test_three_systems_of_crow_1974_are_fitted_as_printed():
    systems = from_lists(CROW_1974_H, end=[200.0] * 3)

    fit = power_law.fit_power_law(systems)

    assert (fit.events, fit.shape) == (36, pytest.approx(0.615, abs=5.1e-4))
    assert fit.scale == pytest.approx(0.461, abs=5.1e-4)
    assert goodness_of_fit.cramer_von_mises(systems).distance == pytest.approx(0.069, abs=1e-3)


# Chi-square identity for a test ended by time, computed outside this project.
@pytest.mark.parametrize(
    ("level", "lower", "upper"), [(0.90, 0.2914685, 0.8437296), (0.95, 0.2576221, 0.9178450)]
)
def test_shape_of_the_nist_repairs_has_the_exact_limits(level, lower, upper):
    fit = power_law.fit_power_law(from_lists([NIST["times"]], end=[1500]), level=level)

    assert fit.shape == pytest.approx(0.5372289, abs=5.1e-8)
    assert (fit.shape_lower, fit.shape_upper) == pytest.approx((lower, upper), abs=5.1e-8)


# Crow 1974, also MIL-HDBK-189: factors on the estimated mean time between failures, ended by
# failure, two-sided 80 and 90 %. From memory.
@pytest.mark.parametrize(
    ("failures", "level", "lower", "upper"),
    [
        (2, 0.80, 0.8065, 33.76),
        (2, 0.90, 0.5552, 72.67),
        (3, 0.80, 0.6840, 8.927),
        (3, 0.90, 0.5137, 14.24),
    ],
)
def test_factors_of_crow_1974_are_reproduced(failures, level, lower, upper):
    found = power_law_limits.exact_mtbf(1.0, failures, level)

    assert found[0] == pytest.approx(lower, abs=5.1e-5)
    assert found[1] == pytest.approx(upper, rel=4e-4)
