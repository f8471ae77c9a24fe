"""Replacing one, the stretch or all: closed forms, limits, and a simulation of each way."""

import math

import numpy as np
import pytest

from workorders.planning.group_replacement import (
    GroupCosts,
    GroupOption,
    Scope,
    Stretch,
    Trigger,
    compare_group_replacement,
)
from workorders.planning.weibull import Weibull

WEARS = Weibull(2.5, 30_000)
COSTS = GroupCosts(failure_cost=900, set_cost=120, visit_cost=600)


def options_of(stretches, costs=COSTS) -> dict[tuple[Scope, Trigger], GroupOption]:
    found = compare_group_replacement(stretches, costs)
    return {(one.scope, one.trigger): one for one in found.options}


def test_one_at_its_failure_costs_a_failure_each_mean_life_of_each_set():
    one = options_of([Stretch(20, WEARS)])[Scope.ONE, Trigger.AT_FAILURE]

    assert one.cost_rate == pytest.approx(20 * 900 / (30_000 * math.gamma(1.4)))
    assert one.intervals == (pytest.approx(30_000 * math.gamma(1.4) / 20),)


def test_at_the_first_failure_the_group_lives_as_long_as_its_weakest():
    found = options_of([Stretch(20, WEARS), Stretch(20, WEARS)])

    # The least of n Weibull lives is Weibull, its scale divided by n^(1/shape).
    stretch = found[Scope.STRETCH, Trigger.AT_FAILURE]
    mean = 30_000 * math.gamma(1.4) / 20**0.4
    assert stretch.intervals == (pytest.approx(mean), pytest.approx(mean))
    assert stretch.cost_rate == pytest.approx(2 * (900 + 19 * 120) / mean)
    mean_of_all = 30_000 * math.gamma(1.4) / 40**0.4
    assert found[Scope.ALL, Trigger.AT_FAILURE].intervals == (pytest.approx(mean_of_all, rel=1e-6),)


def test_a_belt_of_one_stretch_has_no_difference_between_stretch_and_all():
    found = options_of([Stretch(20, WEARS)])

    for trigger in Trigger:
        stretch, everything = found[Scope.STRETCH, trigger], found[Scope.ALL, trigger]
        assert everything.cost_rate == pytest.approx(stretch.cost_rate)


def test_sharing_a_visit_makes_all_cheaper_than_stretch_by_stretch():
    found = options_of([Stretch(20, WEARS), Stretch(20, WEARS)])

    by_stretch = found[Scope.STRETCH, Trigger.BY_INTERVAL].cost_rate
    assert found[Scope.ALL, Trigger.BY_INTERVAL].cost_rate < by_stretch


def test_lost_hours_can_make_a_stretch_the_cheapest():
    costs = GroupCosts(2500, 120, 1500, hours_per_set=0.25, free_stop_h=8, stop_cost_per_h=2000)
    stretches = [Stretch(20, Weibull(4, 30_000)), Stretch(60, Weibull(3, 45_000))]

    least = compare_group_replacement(stretches, costs).least

    assert (least.scope, least.trigger) == (Scope.STRETCH, Trigger.BY_INTERVAL)


@pytest.mark.parametrize("shape", [0.8, 1.0])
def test_without_wear_one_at_its_failure_is_cheapest_and_no_interval_is_named(shape):
    comparison = compare_group_replacement([Stretch(20, Weibull(shape, 30_000))], COSTS)
    by_interval = [one for one in comparison.options if one.trigger is Trigger.BY_INTERVAL]

    assert comparison.least.scope is Scope.ONE
    assert [one.intervals for one in by_interval] == [(None,), (None,)]
    assert {one.cost_rate for one in by_interval} == {comparison.least.cost_rate}


def test_a_visit_dearer_than_all_failures_saves_nothing():
    costs = GroupCosts(failure_cost=100, set_cost=120, visit_cost=600)

    assert compare_group_replacement([Stretch(20, WEARS)], costs).least.scope is Scope.ONE


def test_no_interval_beats_the_best_by_first_principles():
    # With failures far dearer than visits intervals are short and M(T) is F(T) nearly: then the
    # cost rate is (c + c_f n (1 - exp(-(T/scale)^shape))) / T to first order.
    costs = GroupCosts(failure_cost=1e6, set_cost=10, visit_cost=100)

    found = options_of([Stretch(10, WEARS)], costs)[Scope.ALL, Trigger.BY_INTERVAL]

    ages = np.linspace(50, 5000, 20_000)
    rates = (200 + 1e7 * -np.expm1(-((ages / 30_000) ** 2.5))) / ages
    assert found.cost_rate == pytest.approx(rates.min(), rel=1e-3)
    assert found.intervals[0] == pytest.approx(ages[rates.argmin()], rel=0.01)


def test_the_dearer_a_failure_the_shorter_the_interval():
    intervals = []
    for failure_cost in (400, 900, 5000, 1e5, 1e7):
        costs = GroupCosts(failure_cost, 120, 600)
        intervals += options_of([Stretch(20, WEARS)], costs)[
            Scope.ALL, Trigger.BY_INTERVAL
        ].intervals

    assert intervals == sorted(intervals, reverse=True)


def test_very_different_lives_on_one_belt_are_reckoned():
    stretches = [Stretch(20, Weibull(3, 300_000)), Stretch(1, Weibull(3, 1000))]

    for option in compare_group_replacement(stretches, COSTS).options:
        assert math.isfinite(option.cost_rate)
        assert option.cost_rate > 0


def simulated_block(
    stretches, costs, interval: float, chance: np.random.Generator, blocks: int
) -> float:
    spent = blocks * costs.planned(sum(one.sets for one in stretches))
    for one in stretches:
        ages = np.zeros(blocks * one.sets)
        while len(ages):
            ages = ages + one.life.scale * chance.weibull(one.life.shape, len(ages))
            ages = ages[ages < interval]
            spent += costs.failure_cost * len(ages)
    return spent / (blocks * interval)


def simulated_first(stretches, costs, chance: np.random.Generator, cycles: int) -> float:
    firsts = [
        one.life.scale * chance.weibull(one.life.shape, (cycles, one.sets)).min(axis=1)
        for one in stretches
    ]
    spent = cycles * costs.at_failure(sum(one.sets for one in stretches))
    return spent / float(np.min(firsts, axis=0).sum())


def test_a_simulated_belt_costs_what_is_reckoned():
    chance = np.random.default_rng(7)
    costs = GroupCosts(1500, 120, 900, hours_per_set=0.2, free_stop_h=4, stop_cost_per_h=300)
    stretches = [Stretch(12, Weibull(3, 25_000)), Stretch(30, Weibull(2, 60_000))]

    found = options_of(stretches, costs)

    by_interval = found[Scope.ALL, Trigger.BY_INTERVAL]
    simulated = simulated_block(stretches, costs, by_interval.intervals[0], chance, 20_000)
    assert by_interval.cost_rate == pytest.approx(simulated, rel=0.01)
    for factor in (0.8, 1.25):
        other = simulated_block(stretches, costs, factor * by_interval.intervals[0], chance, 20_000)
        assert other > by_interval.cost_rate
    at_failure = found[Scope.ALL, Trigger.AT_FAILURE]
    assert at_failure.cost_rate == pytest.approx(
        simulated_first(stretches, costs, chance, 20_000), rel=0.02
    )


@pytest.mark.parametrize(
    "bad",
    [
        {"failure_cost": 0},
        {"failure_cost": math.nan},
        {"set_cost": -1},
        {"stop_cost_per_h": math.inf},
    ],
)
def test_impossible_costs_are_refused(bad):
    with pytest.raises(ValueError, match=next(iter(bad))):
        GroupCosts(**({"failure_cost": 900, "set_cost": 120, "visit_cost": 600} | bad))


def test_a_belt_without_sets_is_refused():
    with pytest.raises(ValueError, match="stretches"):
        compare_group_replacement([], COSTS)
    with pytest.raises(ValueError, match="sets"):
        Stretch(0, WEARS)
