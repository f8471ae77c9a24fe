"""Taps: does the belt move over at the same moment of each turn, or now and then.

Every way over and back is a visit. If something travels, visits are a steady few by chance and one
at nearly every pass of the place; if nothing does, only those by chance. Both are Poisson processes
in time, so that their likelihood ratio is a product over the visits.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.evidence import Tap
from diagnostics.inference.vocabulary import TapEvent
from diagnostics.inference.watching.turning import Turns
from diagnostics.mechanics.nodes import Floats
from plant.loop.vocabulary import Side

# A tap comes this much before or after what it means, and a visit's middle is off by this share
# of how long it lasted; engineering judgement. [s]
TAP_ERROR_S, _MIDDLE_SHARE = 0.6, 0.15
# What may be blurred over a whole watch of taps. [s]
RESOLUTION_S = 1.0
# Where the way back was missed the visit is taken to have lasted so long. [s]
_USUAL_VISIT_S = 4.0
# Visits by chance in one watch, and the chance that a pass of the place is tapped, averaged over
# with their weights: a defect that moves the belt little at this station is never tapped.
# Engineering judgement, tried on simulated watches.
_BY_CHANCE = ((0.4, 0.4), (1.2, 0.4), (4.0, 0.2))
_CAUGHT = ((0.0, 0.2), (0.6, 0.2), (0.9, 0.6))
# Moments of the turn that are tried, and visits that are read: more are no person's taps.
_MOST_MOMENTS = 600
MOST_VISITS = 100


@dataclass(frozen=True)
class Visit:
    """One way over and back: its middle, how long it lasted, to which side. [s]"""

    at_s: float
    lasted_s: float | None
    side: Side


@dataclass(frozen=True)
class TapWeights:
    """What taps say of every revolution time and moment.

    Attributes
    ----------
    log_ratio : float
        Natural log of "travels" against "does not", averaged over everything unknown.
    turn_weights : array, shape (t,)
        Weight of each revolution time, summing to 1.
    at_s, weights : array, shape (t, m)
        Moments tried for each revolution time and their weights, summing to 1.
    side : Side or None
        To which side, None without a visit.
    """

    log_ratio: float
    turn_weights: Floats
    at_s: Floats
    weights: Floats
    side: Side | None


def visits_of(taps: Sequence[Tap], turn_s: float) -> tuple[Visit, ...]:
    """Ways over and back; only the tap itself where the way back was missed.

    Parameters
    ----------
    taps : sequence of Tap
        In order of time.
    turn_s : float
        About one revolution: what lasts half of it is no visit. [s]
    """
    over = {TapEvent.OVER_LEFT: Side.LEFT, TapEvent.OVER_RIGHT: Side.RIGHT}
    moves = [tap for tap in taps if tap.event is not TapEvent.SPLICE]
    found = []
    for number, tap in enumerate(moves):
        if tap.event not in over:
            continue
        following = moves[number + 1] if number + 1 < len(moves) else None
        is_back = following is not None and following.event is TapEvent.BACK
        if following is not None and is_back and following.at_s - tap.at_s < turn_s / 2:
            middle, lasted = (tap.at_s + following.at_s) / 2, following.at_s - tap.at_s
            found.append(Visit(middle, lasted, over[tap.event]))
        else:
            found.append(Visit(tap.at_s, None, over[tap.event]))
    return tuple(found[:MOST_VISITS])


def weigh_taps(visits: Sequence[Visit], turns: Turns, watched_s: float) -> TapWeights:
    """Likelihood ratio of the visits, and where in the turn they point.

    Parameters
    ----------
    visits : sequence of Visit
    turns : Turns
    watched_s : float
        > 0. [s]

    Notes
    -----
    log LR = log of the mean over rate, chance, side and moment of
    exp(-p n) prod(1 + p N(t_i; t_0 + k T, sigma_i) D / (rho s_i)), with n the passes in the watch,
    D its length, rho the visits by chance and s_i a half of them for each side.

    References
    ----------
    Likelihood of an inhomogeneous Poisson process; the rest own derivation.
    """
    count = min(max(round(turns.middle_s / TAP_ERROR_S), 60), _MOST_MOMENTS)
    share = (np.arange(count) + 0.5) / count
    at_s = turns.seconds[:, None] * share[None, :]
    if not visits:
        log_ratio = _log_mean([(-p * watched_s / turns.middle_s, w) for p, w in _CAUGHT])
        even = np.full(at_s.shape, 1.0 / at_s.size)
        return TapWeights(log_ratio, np.exp(turns.log_prior), at_s, even, None)
    by_side = {side: _log_ratios(visits, side, turns, at_s, watched_s) for side in Side}
    total = {
        side: turns.log_prior[:, None] - math.log(count) + logs for side, logs in by_side.items()
    }
    sums = {side: float(np.logaddexp.reduce(logs, axis=None)) for side, logs in total.items()}
    side = max(Side, key=lambda one: sums[one])
    both = np.logaddexp(total[Side.LEFT], total[Side.RIGHT])
    whole = float(np.logaddexp.reduce(both, axis=None))
    weights = np.exp(both - whole)
    return TapWeights(whole - math.log(2), weights.sum(axis=1), at_s, weights, side)


def _log_ratios(
    visits: Sequence[Visit], side: Side, turns: Turns, at_s: Floats, watched_s: float
) -> Floats:
    """Log likelihood ratio of "travels, to this side" at every revolution time and moment."""
    step_s = turns.middle_s / at_s.shape[1]
    passes = watched_s / turns.middle_s
    log_chance = [math.log(w) - rho + len(visits) * math.log(rho) for rho, w in _BY_CHANCE]
    logs = np.empty(at_s.shape)
    mine = [one for one in visits if one.side is side]
    middles = np.array([one.at_s for one in mine])
    spreads = np.array([_spread_s(one, step_s) for one in mine])
    for row, turn_s in enumerate(turns.seconds):
        bells = _bells(middles, spreads, at_s[row], float(turn_s))
        terms = [
            math.log(share) + chance - p * passes + np.log1p(2 * p * watched_s / rho * bells).sum(0)
            for p, share in _CAUGHT
            for chance, (rho, _weight) in zip(log_chance, _BY_CHANCE, strict=True)
        ]
        logs[row] = np.logaddexp.reduce(np.array(terms), axis=0)
    result: Floats = logs - float(np.logaddexp.reduce(log_chance))
    return result


def _bells(middles: Floats, spreads: Floats, at_s: Floats, turn_s: float) -> Floats:
    """Density of each visit round each moment, taken round the turn. [1/s]"""
    apart = (middles[:, None] - at_s[None, :] + turn_s / 2) % turn_s - turn_s / 2
    bell = np.exp(-0.5 * (apart / spreads[:, None]) ** 2)
    result: Floats = bell / (spreads[:, None] * math.sqrt(2 * math.pi))
    return result


def _spread_s(visit: Visit, step_s: float) -> float:
    if visit.lasted_s is None:
        return math.hypot(TAP_ERROR_S, _USUAL_VISIT_S / 2, step_s / 2)
    return math.hypot(TAP_ERROR_S, _MIDDLE_SHARE * visit.lasted_s, step_s / 2)


def _log_mean(terms: Sequence[tuple[float, float]]) -> float:
    return math.log(sum(weight * math.exp(log) for log, weight in terms))
