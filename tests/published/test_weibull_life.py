"""Weibull life and survival of right-censored lives against printed and twice-computed values.

Data: NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3 (20 units, 10 failures, stopped at
500 h), and the vehicle shock absorbers of P. D. T. O'Connor, Practical Reliability Engineering
(1985), as W. Q. Meeker and L. A. Escobar give them, Statistical Methods for Reliability Data
(1998).
"""

import json
from pathlib import Path

import pytest

from workorders.planning.lives import Lives
from workorders.planning.survival import kaplan_meier
from workorders.planning.weibull import fit_weibull

DATA = json.loads((Path(__file__).parent / "data/life_data.json").read_text())


def lives_of(name: str) -> Lives:
    failures = [(age, True, 1) for age in DATA[name]["failures"]]
    return Lives.of(failures + [(age, False, 1) for age in DATA[name]["censored"]])


def test_weibull_fit_reproduces_nist_handbook_8_4_1_3():
    fit = fit_weibull(lives_of("nist_8413"))

    # As printed there.
    assert fit.life.scale == pytest.approx(606.5280, abs=5e-4)
    assert fit.life.shape == pytest.approx(1.7208, abs=5e-5)
    assert fit.loglik == pytest.approx(-75.135, abs=5e-4)
    assert fit.life.mean == pytest.approx(540.737, abs=5e-4)


def test_weibull_fit_of_shock_absorbers_agrees_with_the_computed_values():
    fit = fit_weibull(lives_of("shock_absorber"))

    # Computed from the data and confirmed by a second package; B10 13 600 km.
    assert fit.life.scale == pytest.approx(27718.7, abs=0.05)
    assert fit.life.shape == pytest.approx(3.16047, abs=5e-6)
    assert fit.loglik == pytest.approx(-123.9954, abs=5e-5)
    assert fit.life.b10 == pytest.approx(13600, abs=0.5)


@pytest.mark.parametrize("row", DATA["shock_absorber"]["kaplan_meier"], ids=lambda row: row["t"])
def test_survival_of_shock_absorbers_with_greenwoods_error(row):
    steps = {step.age: step for step in kaplan_meier(lives_of("shock_absorber"))}

    assert len(steps) == len(DATA["shock_absorber"]["kaplan_meier"])
    assert steps[row["t"]].survival == pytest.approx(row["S"], abs=5e-7)
    assert steps[row["t"]].se == pytest.approx(row["se"], abs=5e-7)
