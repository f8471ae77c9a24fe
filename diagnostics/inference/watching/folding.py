"""A log of offsets: does a bump come round with the belt.

The log is compared with its own surroundings, so that slow wander drops out, and the excess is
folded at every revolution time that may be right. At each moment of the turn the mean of the turns
is weighed against no bump at all, with the bump's size averaged out.
"""

import math
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.watching.turning import Turns
from diagnostics.mechanics.nodes import Floats

# Length over which a bump shows, averaged over: a splice, a damaged stretch, a cambered section.
# Engineering judgement. [m]
WIDTHS_M = (5.0, 10.0, 20.0, 40.0)
# On each side of a bump so much of its width, and never less than this, is its surroundings. [m]
_SURROUNDINGS, _LEAST_SURROUNDINGS_M = 1.0, 8.0
# A wider bump than this share of the belt could not be told from wander.
_WIDEST_SHARE = 0.3
# Sizes of the bump that are averaged over, standard deviations. [mm]
_SIZES_MM = (12.0, 30.0, 60.0)
# Grid steps in the narrowest bump, and grid steps at the most.
_STEPS_IN_BUMP, MOST_STEPS = 4, 40_000
# Reading and rounding of the best sensor: no log is surer than this. [mm]
_LEAST_ERROR_MM = 0.5
# Turns by turn the excess scatters more than by noise alone: the load changes, people walk by. A
# turn that stands out alone is believed only so far. [standard errors]
_FARTHEST_ALONE = 4.0
# A bump is not caught alike in every turn: the load changes, and samples fall beside its top the
# farther apart they are. Share of its size, standard deviation: at least, for each metre between
# samples, at most; engineering judgement, tried on simulated watches.
_VARIES, _VARIES_PER_M, _VARIES_MOST = 0.15, 0.07, 0.3
_NORMAL_MAD = 1.4826


@dataclass(frozen=True)
class LogWeights:
    """What a log says of every revolution time, moment and width.

    Attributes
    ----------
    log_ratio : float
        Natural log of "travels" against "does not", averaged over everything unknown.
    turn_weights : array, shape (t,)
        Weight of each revolution time, summing to 1.
    at_s, weights : array, shape (t, m)
        Moments tried for each revolution time and their weights, summing to 1.
    share, turn_s : float
        Part of the turn, and the revolution time, that weigh most. [1, s]
    side : float
        Sign of the bump there, + right.
    extent_m : float
        Mean length over which it shows. [m]
    """

    log_ratio: float
    turn_weights: Floats
    at_s: Floats
    weights: Floats
    share: float
    turn_s: float
    side: float
    extent_m: float


@dataclass(frozen=True)
class _Excess:
    """Offset over that of the surroundings, and the grid steps at which it could be told."""

    steps: Floats
    values_mm: Floats
    error_mm: float


@dataclass(frozen=True)
class _Fold:
    """At each moment of the turn: turns, mean excess, and that without the strongest. [mm]"""

    count: Floats
    mean_mm: Floats
    others_mm: Floats


def grid_step_s(times_s: Floats, speed_mps: float) -> float:
    """Step of the even grid: some in the narrowest bump, but not finer than the samples. [s]"""
    usual_s = float(np.median(np.diff(times_s)))
    finest_s = WIDTHS_M[0] / abs(speed_mps) / _STEPS_IN_BUMP
    whole_s = float(times_s[-1] - times_s[0])
    return max(finest_s, usual_s, whole_s / MOST_STEPS)


def weigh_log(
    times_s: Floats,
    offsets_mm: Floats,
    turns: Turns,
    step_s: float,
    speed_mps: float,
    length_m: float,
) -> LogWeights:
    """Likelihood ratio of a log, and where in the turn it points.

    Parameters
    ----------
    times_s, offsets_mm : array, shape (n,)
        Samples in order of time, from 0 [s], offset [mm, + right]; n at least 2.
    turns : Turns
    step_s : float
        Of the even grid, as `grid_step_s` says. [s]
    speed_mps, length_m : float
        Belt speed, not 0 [m/s], and belt length. [m]

    Notes
    -----
    For n turns whose mean excess is m with the standard error e/sqrt(n):
    ln BF = -ln(1 + n a^2/e^2)/2 + n m^2/(2 e^2) a^2/(a^2 + e^2/n), averaged over sizes a, widths,
    moments and revolution times. e is the scatter of the excess over the whole log.

    References
    ----------
    Normal mean with known variance and normal prior, textbook; the rest own derivation.
    """
    grid = _on_grid(times_s, offsets_mm, step_s)
    widths = [one for one in WIDTHS_M if one <= _WIDEST_SHARE * length_m] or [WIDTHS_M[0]]
    excesses = [_excess(grid, one, step_s * abs(speed_mps)) for one in widths]
    varies = min(max(_VARIES, _VARIES_PER_M * step_s * abs(speed_mps)), _VARIES_MOST)
    # Never shorter than a step: then each turn has something in each of them.
    moments = max(int(turns.seconds[0] / step_s), 12)
    logs = np.zeros((len(widths), len(turns.seconds), moments))
    means = np.zeros_like(logs)
    for number, excess in enumerate(excesses):
        folds = [_folded(excess, step_s, one, moments) for one in turns.seconds]
        means[number] = [fold.mean_mm for fold in folds]
        largest_mm = float(max(np.max(np.abs(fold.others_mm)) for fold in folds))
        error_mm = math.hypot(excess.error_mm, varies * largest_mm)
        logs[number] = [_log_factors(fold, error_mm) for fold in folds]
    prior = turns.log_prior[None, :, None] - math.log(len(widths) * moments)
    whole = float(np.logaddexp.reduce(logs + prior, axis=None))
    weights = np.exp(logs + prior - whole)
    best = np.unravel_index(int(np.argmax(weights)), weights.shape)
    share = (np.arange(moments) + 0.5) / moments
    return LogWeights(
        log_ratio=whole,
        turn_weights=weights.sum(axis=(0, 2)),
        at_s=turns.seconds[:, None] * share[None, :],
        weights=weights.sum(axis=0),
        share=float(share[best[2]]),
        turn_s=float(turns.seconds[best[1]]),
        side=float(means[best]),
        extent_m=float(np.sum(weights.sum(axis=(1, 2)) * np.array(widths))),
    )


def _on_grid(times_s: Floats, offsets_mm: Floats, step_s: float) -> Floats:
    """Mean offset in each step; NaN in a step without a sample. [mm]"""
    # Steps lie round their moments: samples as far apart as the steps are not shifted by a half.
    slot = np.rint(times_s / step_s).astype(int)
    count = np.bincount(slot)
    total = np.bincount(slot, offsets_mm)
    result: Floats = np.where(count > 0, total / np.maximum(count, 1), np.nan)
    return result


def _excess(grid: Floats, width_m: float, step_m: float) -> _Excess:
    inside = max(round(width_m / step_m / 2), 0)
    beside = max(round(max(_SURROUNDINGS * width_m, _LEAST_SURROUNDINGS_M) / step_m), 1)
    known = np.isfinite(grid)
    values, counts = np.where(known, grid, 0.0), known.astype(float)
    inner, inner_n = _moving_sum(values, inside), _moving_sum(counts, inside)
    outer = _moving_sum(values, inside + beside) - inner
    outer_n = _moving_sum(counts, inside + beside) - inner_n
    told = (inner_n > 0) & (outer_n >= beside / 2)
    raw = inner / np.maximum(inner_n, 1) - outer / np.maximum(outer_n, 1)
    seen = raw[told]
    scatter = _NORMAL_MAD * float(np.median(np.abs(seen - np.median(seen)))) if len(seen) else 0.0
    error_mm = max(scatter, _LEAST_ERROR_MM)
    return _Excess(np.flatnonzero(told).astype(float), seen, error_mm)


def _moving_sum(values: Floats, half: int) -> Floats:
    """Sum from `half` before to `half` behind, as far as there are values."""
    total = np.concatenate([[0.0], np.cumsum(values)])
    place = np.arange(len(values))
    upper = np.minimum(place + half + 1, len(values))
    result: Floats = total[upper] - total[np.maximum(place - half, 0)]
    return result


def _folded(excess: _Excess, step_s: float, turn_s: float, moments: int) -> _Fold:
    when = excess.steps * step_s / turn_s
    turn = when.astype(int)
    slot = np.minimum(((when - turn) * moments).astype(int), moments - 1)
    cell, size = turn * moments + slot, (int(turn[-1]) + 1 if len(turn) else 1) * moments
    # Two steps of one turn in one moment tell no more than one.
    seen = np.bincount(cell, minlength=size)
    mean = (np.bincount(cell, excess.values_mm, size) / np.maximum(seen, 1)).reshape(-1, moments)
    count = (seen > 0).reshape(-1, moments).sum(axis=0)
    total = mean.sum(axis=0)
    strongest = mean[np.argmax(np.abs(mean), axis=0), np.arange(moments)]
    return _Fold(
        count, total / np.maximum(count, 1), (total - strongest) / np.maximum(count - 1, 1)
    )


def _log_factors(fold: _Fold, error_mm: float) -> Floats:
    """Log Bayes factor at each moment, for the error of the excess in one turn."""
    error2 = error_mm**2
    rest = np.maximum(fold.count - 1, 0)
    others = rest * fold.others_mm**2 / error2
    # What a single turn brought in counts only so far: somebody leaned over the sensor.
    most = others * fold.count / np.maximum(rest, 1) + _FARTHEST_ALONE
    z2 = np.minimum(fold.count * fold.mean_mm**2 / error2, most)
    terms = []
    for size in _SIZES_MM:
        ratio = fold.count * size**2 / error2
        terms.append(-0.5 * np.log1p(ratio) + 0.5 * z2 * ratio / (1 + ratio))
    result: Floats = np.logaddexp.reduce(np.array(terms), axis=0) - math.log(len(_SIZES_MM))
    return result
