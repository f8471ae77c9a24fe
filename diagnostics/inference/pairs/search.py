"""Two causes at once, named only where one alone leaves the readings plainly unexplained.

Searched among candidate places, not among the entries a person reads: the second of two causes
often explains little by itself.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.answer import Pair
from diagnostics.inference.causes import Cause, Knowledge
from diagnostics.inference.onset import is_off
from diagnostics.inference.onset_place import REACH_M
from diagnostics.inference.pairs.evidence import amplitudes_of, beside_moving, second_in_place
from diagnostics.inference.pairs.suspects import (
    Placed,
    Suspects,
    Travelling,
    log_sum,
    suspects_of,
)
from diagnostics.inference.travelling import LOOKS_S, passings
from diagnostics.inference.vocabulary import CauseClass, Persistence
from diagnostics.inference.weighing import Weighed, Weigher
from diagnostics.mechanics.nodes import Floats
from plant.loop.path import Loop
from plant.loop.vocabulary import Side

# Two causes at once are rarer than one; engineering judgement, to be calibrated.
PAIR_PRIOR = 0.08
# Pairs are named when all of them together are at least so likely: of simulated belts with one
# cause about one in fifty is then taken for two. Engineering judgement, to be calibrated.
LEAST_TOGETHER = 0.15
_LEAST_PROBABILITY, _MOST_PAIRS = 0.03, 3
# Asked for a second cause; what is further down the list is not the first of two.
_FIRSTS = 15
# In place beside what travels, so many are weighed.
_BESIDE_MOVING = 60
# One remark "comes and goes" is often a slip; from so many on what travels is searched for.
_FEWEST_REMARKS = 2
# Pairs so far behind the best one are no part of what is named. [natural log]
_FAR_BEHIND = 8.0
_LARGEST_LOG = 600.0  # keeps the exponential finite


@dataclass(frozen=True)
class Half:
    """One of two causes; `position_m` is None for what travels with the belt."""

    cause: Cause
    position_m: float | None
    component: str | None
    belt_position_m: float | None
    side: Side | None


@dataclass(frozen=True)
class Both:
    """Two causes at once, the one to mend first in front; probability of two such classes."""

    first: Half
    second: Half
    probability: float

    def as_pair(self) -> Pair:
        return Pair((self.first.cause.slug, self.second.cause.slug), self.probability)


@dataclass(frozen=True)
class _Weight:
    log_weight: float
    one: Placed
    other: Placed | Travelling
    leaning: float


@dataclass(frozen=True, eq=False)
class _Grid:
    """Weights of pairs, shape (ones, others); `leaning` of each of the ones beside what travels."""

    logs: Floats
    ones: Sequence[Placed]
    others: Sequence[Placed] | Sequence[Travelling]
    leaning: Floats

    def weights(self, least: float) -> Iterable[_Weight]:
        for one, other in np.argwhere(self.logs > least):
            yield _Weight(
                float(self.logs[one, other]),
                self.ones[one],
                self.others[other],
                float(self.leaning[one]),
            )


def pairs_of(
    weigher: Weigher,
    weighed: Mapping[str, Weighed],
    log_weight: Mapping[str, float],
    knowledge: Knowledge,
) -> tuple[Both, ...]:
    """Explanations by two causes, the likeliest first; empty when one cause is enough.

    Parameters
    ----------
    weigher : Weigher
    weighed : mapping of str to Weighed
        What the evidence says of every cause, by slug.
    log_weight : mapping of str to float
        Base rate times rules of every cause, by slug.
    knowledge : Knowledge

    Returns
    -------
    tuple of Both
        One for each pair of classes, at the places that explain it best.

    Notes
    -----
    A pair (i, j) weighs ``0.08 w_i w_j Z_ij`` against ``w_i Z_i`` of one cause, w being the weight
    of a candidate before the offsets (base rates, rules, findings; all sum to 1), Z the evidence of
    two and of one template. Two in place are at different places, and of one class far apart; one
    of them may travel with the belt where a timed look or the remarks say so.

    References
    ----------
    Bayes factor of nested linear models with normal amplitudes, identity.
    """
    names: dict[float | None, str] = {
        one.belt_position_m: one.name for one in weigher.evidence.conveyor.belt.splices
    }
    suspects = suspects_of(weighed, log_weight, knowledge, names)
    if not suspects.placed:
        return ()
    grids = [_in_place(weigher, suspects), *_with_moving(weigher, suspects)]
    every = np.concatenate([one.logs.ravel() for one in grids])
    total = log_sum(every) - suspects.log_single
    together = 1 / (1 + math.exp(min(-total, _LARGEST_LOG)))
    if together < LEAST_TOGETHER:
        return ()
    least = float(every.max()) - _FAR_BEHIND
    found = [weight for one in grids for weight in one.weights(least)]
    return tuple(_named(weigher, found, suspects.log_single + float(np.logaddexp(0.0, total))))


def _in_place(weigher: Weigher, suspects: Suspects) -> _Grid:
    placed = suspects.placed
    added = second_in_place(weigher.profile, placed, _FIRSTS)
    firsts = len(added)
    weight = np.array([one.log_weight for one in placed])
    seen = np.array([one.log_seen for one in placed])
    logs = weight[:firsts, None] + weight + seen[:firsts, None] + added
    logs += math.log(2 * PAIR_PRIOR)  # either may be the first
    logs[~_may_pair(placed, firsts, weigher.evidence.conveyor.loop)] = -np.inf
    return _Grid(logs, placed[:firsts], placed, np.zeros(firsts))


def _may_pair(placed: tuple[Placed, ...], firsts: int, loop: Loop) -> np.ndarray:
    """Two causes at one place, or of one class next to each other, cannot be told from one."""
    at = np.array([one.position_m for one in placed])
    names = np.array([one.cause.cause_class for one in placed])
    way = (at[:firsts, None] - at) % loop.length_m
    way = np.minimum(way, loop.length_m - way)
    is_alike = names[:firsts, None] == names
    is_later = np.arange(len(placed)) > np.arange(firsts)[:, None]
    result: np.ndarray = (way > np.where(is_alike, 2 * REACH_M, 0.0)) & is_later
    return result


def _with_moving(weigher: Weigher, suspects: Suspects) -> Iterable[_Grid]:
    if not _may_travel(weigher):
        return
    placed = suspects.placed[:_BESIDE_MOVING]
    weight = np.array([one.log_weight for one in placed])
    conveyor = weigher.evidence.conveyor
    for is_long in (False, True):
        usual = passings(
            weigher.readings, conveyor, weigher.models, is_long=is_long, looks_s=LOOKS_S[1:2]
        )
        seen, leaning = beside_moving(weigher.profile, placed, usual)
        alike = [one for one in suspects.travelling if (one.cause.size_unit == "1/m") is is_long]
        timed = np.array([one.log_weight + one.log_timed for one in alike])
        logs = (weight + seen)[:, None] + timed + math.log(2 * PAIR_PRIOR)
        yield _Grid(logs, placed, alike, leaning)


def _may_travel(weigher: Weigher) -> bool:
    travel, evidence = weigher.travel, weigher.evidence
    if travel is not None and travel.log_ratio > 0:
        return True
    said = [
        one
        for one in weigher.readings.sightings
        if one.persistence is Persistence.COMES_AND_GOES
        and is_off(one, evidence.conveyor.clearance_mm)
    ]
    return len(said) >= _FEWEST_REMARKS


def _named(weigher: Weigher, found: list[_Weight], log_whole: float) -> Iterable[Both]:
    """The likeliest pairs of classes, each at its best places."""
    classes: dict[frozenset[CauseClass], list[_Weight]] = {}
    for one in found:
        names = frozenset({one.one.cause.cause_class, one.other.cause.cause_class})
        classes.setdefault(names, []).append(one)
    shares = {
        names: math.exp(log_sum(np.array([one.log_weight for one in group])) - log_whole)
        for names, group in classes.items()
    }
    for names in sorted(shares, key=lambda name: (-shares[name], sorted(name)))[:_MOST_PAIRS]:
        if shares[names] >= _LEAST_PROBABILITY:
            best = max(classes[names], key=lambda one: one.log_weight)
            yield _both(weigher, best, min(shares[names], 1.0))


def _both(weigher: Weigher, best: _Weight, probability: float) -> Both:
    """In the order of travel; what stays in place before what travels."""
    one, other = best.one, best.other
    if isinstance(other, Travelling):
        moving = Half(
            other.cause, None, other.component, other.belt_position_m, _side(best.leaning)
        )
        alone = amplitudes_of(weigher.profile, (one,))
        return Both(_half(one, alone[0]), moving, probability)
    halves = [
        _half(half, amplitude)
        for half, amplitude in zip(
            (one, other), amplitudes_of(weigher.profile, (one, other)), strict=True
        )
    ]
    first, second = sorted(halves, key=lambda half: half.position_m or 0.0)
    return Both(first, second, probability)


def _half(one: Placed, amplitude: float) -> Half:
    return Half(one.cause, one.position_m, one.component, None, _side(amplitude))


def _side(signed: float) -> Side | None:
    return Side.of(signed) if signed else None
