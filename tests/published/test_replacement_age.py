"""Age replacement against independently computed optima.

R. E. Barlow, F. Proschan, Mathematical Theory of Reliability (1965), chapter 4: the cost rate of
replacing at an age, and the condition its minimum meets.
"""

import json
from pathlib import Path

import pytest
from scipy.integrate import quad

from workorders.planning.age_replacement import best_replacement_age
from workorders.planning.weibull import Weibull

CASES = json.loads((Path(__file__).parent / "data/replacement_age.json").read_text())["age"]


@pytest.mark.parametrize("case", CASES, ids=lambda one: f"shape-{one['beta']}-cost-{one['failed']}")
def test_replacement_age_after_barlow_proschan_1965(case):
    life = Weibull(case["beta"], case["eta"])

    found = best_replacement_age(life, case["planned"], case["failed"])

    assert found.age == pytest.approx(case["T"], rel=1e-6)
    assert found.cost_rate == pytest.approx(case["rate"], rel=1e-9)
    assert found.of_run_to_failure == pytest.approx(case["versus_run_to_failure"], abs=5e-9)


@pytest.mark.parametrize("shape", [1.05, 1.5, 2.0, 3.7, 12.0])
@pytest.mark.parametrize("ratio", [0.01, 0.2, 0.9])
def test_optimum_meets_the_condition_of_barlow_proschan(shape, ratio):
    life = Weibull(shape, 4000.0)

    found = best_replacement_age(life, ratio, 1.0)

    # Nothing is left of 1e-80: far optima need no integral beyond.
    end = min(found.age, life.age_at(1 - 1e-16) * 5)
    lived, _ = quad(life.survival, 0, end, epsabs=0, epsrel=1e-11, limit=200)
    rate = shape / life.scale * (found.age / life.scale) ** (shape - 1)
    left = rate * lived - (1 - life.survival(found.age))
    assert left == pytest.approx(ratio / (1 - ratio), rel=1e-6)
    # There the cost rate is the failure rate times what a planned replacement saves.
    assert found.cost_rate == pytest.approx((1 - ratio) * rate, rel=1e-6)
