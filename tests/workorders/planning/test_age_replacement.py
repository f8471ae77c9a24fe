"""Cheapest age to replace at: when there is none, and that nothing else is cheaper."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from workorders.planning.age_replacement import NoOptimum, best_replacement_age
from workorders.planning.weibull import Weibull


def cost_rate(life: Weibull, planned: float, failure: float, age: float) -> float:
    survives = life.survival(age)
    lived, _ = quad(life.survival, 0, age, epsabs=0, epsrel=1e-10, limit=200)
    return (planned * survives + failure * (1 - survives)) / lived


@settings(max_examples=80, deadline=None)
@given(st.floats(1.2, 15), st.floats(10, 1e5), st.floats(0.005, 0.8), st.floats(0.3, 3))
def test_no_other_age_is_cheaper(shape, scale, ratio, factor):
    life = Weibull(shape, scale)

    found = best_replacement_age(life, ratio, 1.0)

    other = cost_rate(life, ratio, 1.0, found.age * factor)
    assert found.cost_rate <= other * (1 + 1e-9)
    assert found.cost_rate == pytest.approx(cost_rate(life, ratio, 1.0, found.age), rel=1e-8)
    assert found.of_run_to_failure <= 1


@pytest.mark.parametrize("shape", [0.4, 1.0])
def test_without_wear_there_is_no_age(shape):
    found = best_replacement_age(Weibull(shape, 1000), 1, 5)

    assert (found.age, found.reason) == (None, NoOptimum.NO_WEAR)
    assert found.cost_rate == pytest.approx(5 / (1000 * math.gamma(1 + 1 / shape)))
    assert found.of_run_to_failure == 1


@pytest.mark.parametrize("planned", [5, 6])
def test_a_planned_replacement_as_dear_as_a_failure_saves_nothing(planned):
    found = best_replacement_age(Weibull(3, 1000), planned, 5)

    assert (found.age, found.reason, found.of_run_to_failure) == (None, NoOptimum.NO_SAVING, 1)


def test_an_optimum_far_past_every_life_is_named_as_such():
    found = best_replacement_age(Weibull(1.0001, 1000), 1, 2)

    assert (found.age, found.reason) == (None, NoOptimum.BEYOND_REACH)


def test_the_dearer_a_failure_the_earlier_the_replacement():
    ages = [best_replacement_age(Weibull(2.5, 1000), 1, dear).age for dear in (1.1, 2, 10, 1000)]

    assert ages == sorted(ages, reverse=True)


def test_only_the_ratio_of_costs_decides_the_age():
    life = Weibull(2.5, 1000)

    one, other = best_replacement_age(life, 1, 7), best_replacement_age(life, 1000, 7000)

    assert one.age == pytest.approx(other.age)
    assert other.cost_rate == pytest.approx(1000 * one.cost_rate)


@pytest.mark.parametrize(("planned", "failure"), [(0, 5), (-1, 5), (1, math.inf), (math.nan, 5)])
def test_impossible_costs_are_refused(planned, failure):
    with pytest.raises(ValueError, match="cost"):
        best_replacement_age(Weibull(2, 1000), planned, failure)
