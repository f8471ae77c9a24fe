"""Idler sets of one belt: replace each when it fails, its stretch, or all; what each costs an hour.

Every way is a renewal process, so its long-run cost is the mean cost of a cycle over its mean
length. All ways are reckoned for the whole belt, so that their costs compare. Sets of one stretch
share a life; stretches may differ. A new set is as good as any, and replacing takes no life.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from scipy.integrate import quad

from workorders.planning.lives import Numbers
from workorders.planning.renewal import expected_renewals_at
from workorders.planning.weibull import Weibull

# Intervals are looked for up to so many mean lives of the longest-lived stretch: renewals have
# settled to an even rate long before.
_HORIZON = 3.0
_STEPS = 400
# A cheaper interval is one that saves more than the renewal equation is solved to.
_WORTH_SAYING = 1e-3


class Scope(StrEnum):
    """What is replaced together."""

    ONE = "one"
    STRETCH = "stretch"
    ALL = "all"


class Trigger(StrEnum):
    """When: whenever a set fails, or planned at even intervals and singly at failures between."""

    AT_FAILURE = "at_failure"
    BY_INTERVAL = "by_interval"


@dataclass(frozen=True)
class Stretch:
    """Neighbouring sets that share a life. [sets: at least 1]"""

    sets: int
    life: Weibull

    def __post_init__(self) -> None:
        if self.sets < 1:
            raise ValueError(f"sets must be at least 1, got {self.sets!r}")
        if not math.isfinite(self.life.mean):
            raise ValueError(f"the mean life must be finite, got {self.life!r}")


@dataclass(frozen=True)
class GroupCosts:
    """What replacing idler sets costs; one currency.

    Attributes
    ----------
    failure_cost : float
        One failed set replaced by itself: unplanned stop, way there, isolation, set, work. > 0
    set_cost : float
        One more set during a visit: the set and fitting it. >= 0
    visit_cost : float
        A planned visit, however many sets: crew, way there, isolation. >= 0
    hours_per_set : float
        How long one more set keeps the belt standing. >= 0 [h]
    free_stop_h : float
        How long the belt stands anyway at a planned visit. >= 0 [h]
    stop_cost_per_h : float
        What an hour beyond that costs. >= 0 [currency per h]
    """

    failure_cost: float
    set_cost: float
    visit_cost: float
    hours_per_set: float = 0.0
    free_stop_h: float = 0.0
    stop_cost_per_h: float = 0.0

    def __post_init__(self) -> None:
        for name, value in vars(self).items():
            if not (value >= 0 and math.isfinite(value)):
                raise ValueError(f"{name} must be finite and >= 0, got {value!r}")
        if self.failure_cost == 0:
            raise ValueError("failure_cost must be > 0, got 0")

    def planned(self, sets: int) -> float:
        """One planned visit that replaces so many sets."""
        standing_h = max(0.0, sets * self.hours_per_set - self.free_stop_h)
        return self.visit_cost + sets * self.set_cost + standing_h * self.stop_cost_per_h

    def at_failure(self, sets: int) -> float:
        """A failure at which so many sets are replaced, the failed one among them."""
        more = self.set_cost + self.hours_per_set * self.stop_cost_per_h
        return self.failure_cost + (sets - 1) * more


@dataclass(frozen=True)
class GroupOption:
    """One way to replace, for the whole belt.

    Attributes
    ----------
    scope : Scope
    trigger : Trigger
    cost_rate : float
        [currency per running hour]
    intervals : tuple of (float or None)
        By interval: hours between planned visits, for each stretch or for all at once; None where
        no interval is cheaper than replacing each set at its failure, which is then reckoned. At
        failure: mean hours between visits, for each stretch or the belt. [h]
    """

    scope: Scope
    trigger: Trigger
    cost_rate: float
    intervals: tuple[float | None, ...]


@dataclass(frozen=True)
class GroupComparison:
    """All ways, one at its failure first; `least` is the cheapest, the first of equals."""

    options: tuple[GroupOption, ...]

    @property
    def least(self) -> GroupOption:
        return min(self.options, key=lambda option: option.cost_rate)


def compare_group_replacement(stretches: Sequence[Stretch], costs: GroupCosts) -> GroupComparison:
    """Long-run cost per running hour of each way to replace the idler sets of a belt.

    Parameters
    ----------
    stretches : sequence of Stretch
        All idler sets of the belt that are decided about, at least one stretch.
    costs : GroupCosts

    Returns
    -------
    GroupComparison
        One at its failure; stretch and all, each at the first failure in it and by interval.

    Raises
    ------
    ValueError
        Without a stretch.

    Notes
    -----
    One: sum n c_f / mean (elementary renewal theorem). At the first failure of a group: cost of
    replacing it over the mean of the smallest of its lives, integral prod R_i^n_i. By interval T
    (block replacement): (c(n) + c_f sum n M(T)) / T, M the renewal function, at the T of least
    cost; for T without end it becomes that of one at its failure.

    References
    ----------
    R. E. Barlow, F. Proschan, Mathematical Theory of Reliability, Wiley 1965, chapter 4 (block
    replacement).
    """
    if not stretches:
        raise ValueError("stretches must hold at least one, got none")
    each = [(one,) for one in stretches]
    belt = [tuple(stretches)]
    return GroupComparison(
        (
            _one_by_one(stretches, costs),
            _at_failure(Scope.STRETCH, each, costs),
            _by_interval(Scope.STRETCH, each, costs),
            _at_failure(Scope.ALL, belt, costs),
            _by_interval(Scope.ALL, belt, costs),
        )
    )


_Group = tuple[Stretch, ...]


def _one_by_one(stretches: Sequence[Stretch], costs: GroupCosts) -> GroupOption:
    rates = [one.sets / one.life.mean for one in stretches]
    cost_rate = costs.failure_cost * sum(rates)
    return GroupOption(Scope.ONE, Trigger.AT_FAILURE, cost_rate, tuple(1 / rate for rate in rates))


def _at_failure(scope: Scope, groups: Sequence[_Group], costs: GroupCosts) -> GroupOption:
    firsts = [_mean_first_failure(group) for group in groups]
    sets = [sum(one.sets for one in group) for group in groups]
    cost_rate = sum(costs.at_failure(n) / first for n, first in zip(sets, firsts, strict=True))
    return GroupOption(scope, Trigger.AT_FAILURE, cost_rate, tuple(firsts))


def _by_interval(scope: Scope, groups: Sequence[_Group], costs: GroupCosts) -> GroupOption:
    found = [_best_interval(group, costs) for group in groups]
    return GroupOption(
        scope,
        Trigger.BY_INTERVAL,
        sum(rate for _, rate in found),
        tuple(interval for interval, _ in found),
    )


def _mean_first_failure(group: _Group) -> float:
    """Mean age at which the first of the group's sets fails."""
    # Of one kind of life in closed form; the shortest of these bounds the mean.
    alone = [one.life.mean * one.sets ** (-1 / one.life.shape) for one in group]
    if len(group) == 1:
        return alone[0]
    unit = min(alone)

    def none_failed(units: float) -> float:
        return math.exp(
            -sum(one.sets * (units * unit / one.life.scale) ** one.life.shape for one in group)
        )

    # Early failures make a long tail: the first mean by itself, then the rest.
    return unit * (quad(none_failed, 0, 1)[0] + quad(none_failed, 1, math.inf)[0])


def _best_interval(group: _Group, costs: GroupCosts) -> tuple[float | None, float]:
    """The cheapest interval and its cost rate; None and that of single failures if none saves."""
    singly = costs.failure_cost * sum(one.sets / one.life.mean for one in group)
    planned = costs.planned(sum(one.sets for one in group))
    horizon = _HORIZON * max(one.life.mean for one in group)
    while True:
        intervals = horizon * np.arange(1, _STEPS + 1) / _STEPS
        rates = (planned + costs.failure_cost * _failures(group, intervals)) / intervals
        best = int(np.argmin(rates))
        if best >= _STEPS // 4 or best == 0:
            break
        # Too coarse there: once more with the best in the middle.
        horizon = float(2 * intervals[best])
    if best in (0, _STEPS - 1) or rates[best] > (1 - _WORTH_SAYING) * singly:
        return None, singly
    return _lowest_between(intervals[best - 1 : best + 2], rates[best - 1 : best + 2])


def _failures(group: _Group, intervals: Numbers) -> Numbers:
    return np.sum([one.sets * expected_renewals_at(one.life, intervals) for one in group], axis=0)


def _lowest_between(intervals: Numbers, rates: Numbers) -> tuple[float, float]:
    """Lowest point of the parabola through three evenly spaced points, the middle one lowest."""
    bend = rates[0] - 2 * rates[1] + rates[2]
    if bend <= 0:
        return float(intervals[1]), float(rates[1])
    lean = (rates[0] - rates[2]) / 2
    aside = float(lean / bend)
    at = float(intervals[1]) + aside * float(intervals[2] - intervals[1])
    return at, float(rates[1] - lean * aside / 2)
