"""How much of the movement stays in place, how much comes round with the belt; and the fold."""

import math
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.watching.samples import Samples
from diagnostics.mechanics.nodes import Floats

# A fold is shown in stretches of about this length, not finer and not coarser than these numbers.
_SHOWN_M = 5.0
_FEWEST_SHOWN, _MOST_SHOWN = 12, 120


@dataclass(frozen=True)
class Shares:
    """Of the mean square offset about the centre line; the three sum to 1."""

    fixed: float
    travelling: float
    rest: float


@dataclass(frozen=True)
class CurvePoint:
    """The fold at one stretch of the belt.

    Attributes
    ----------
    share : float
        Part of the turn since the first sample, 0 to 1, middle of the stretch.
    mean_mm, least_mm, most_mm : float
        Over the turns. [mm]
    turns : int
        In which it was seen.
    """

    share: float
    mean_mm: float
    least_mm: float
    most_mm: float
    turns: int


def fold_of(samples: Samples, turn_s: float, length_m: float) -> Floats:
    """Mean offset per turn and stretch, NaN where unseen; rows of turns with a sample only. [mm]"""
    usual_s = float(np.median(np.diff(samples.times_s)))
    wanted = min(round(length_m / _SHOWN_M), int(turn_s / max(usual_s, 1e-9)), _MOST_SHOWN)
    count = max(wanted, _FEWEST_SHOWN)
    # A slow sensor may miss whole turns.
    turn = np.unique(np.floor(samples.times_s / turn_s).astype(int), return_inverse=True)[1]
    slot = np.minimum((samples.times_s / turn_s % 1.0 * count).astype(int), count - 1)
    cell, size = turn * count + slot, (int(turn[-1]) + 1) * count
    seen = np.bincount(cell, minlength=size)
    total = np.bincount(cell, samples.offsets_mm, size)
    mean = np.where(seen > 0, total / np.maximum(seen, 1), np.nan)
    result: Floats = mean.reshape(-1, count)
    return result


def shares_of(fold: Floats) -> Shares | None:
    """Shares of the mean square; None where nothing was seen twice or the belt never moved.

    Notes
    -----
    What travels is the mean product of different turns at the same stretch, each turn less its own
    mean: the noise of two turns has nothing in common, so that it does not count as travelling.
    """
    known = np.isfinite(fold)
    turns = known.sum(axis=0)
    whole = float(np.mean(fold[known] ** 2))
    if whole <= 0 or not (turns > 1).any():
        return None
    fixed = float(np.mean(fold[known])) ** 2 / whole
    level = np.where(known, fold, 0.0).sum(axis=1) / np.maximum(known.sum(axis=1), 1)
    apart = np.where(known, fold - level[:, None], 0.0)
    twice = turns > 1
    products = apart.sum(axis=0) ** 2 - (apart**2).sum(axis=0)
    repeats = products[twice] / (turns * (turns - 1))[twice]
    travelling = min(max(float(repeats.mean()) / whole, 0.0), 1.0 - fixed)
    return Shares(fixed, travelling, 1.0 - fixed - travelling)


def curve_of(fold: Floats) -> tuple[CurvePoint, ...]:
    """The fold as it is shown; stretches nobody saw are left out."""
    count = fold.shape[1]
    points = []
    for number in range(count):
        seen = fold[np.isfinite(fold[:, number]), number]
        if len(seen):
            points.append(
                CurvePoint(
                    (number + 0.5) / count,
                    float(seen.mean()),
                    float(seen.min()),
                    float(seen.max()),
                    len(seen),
                )
            )
    return tuple(points)


def bump_mm(fold: Floats, share: float, reach: float, side: float) -> float:
    """How far the belt goes at a moment of the turn, over where it runs otherwise. [mm]

    Parameters
    ----------
    fold : array, shape (turns, stretches)
        [mm]
    share, reach : float
        Part of the turn at which it goes, and how far to either side the extreme may lie.
    side : float
        The sign of the bump.
    """
    known = np.isfinite(fold)
    level = np.array([float(np.median(row[seen])) for row, seen in zip(fold, known, strict=True)])
    total = np.where(known, fold - level[:, None], 0.0).sum(axis=0)
    mean = total / np.maximum(known.sum(axis=0), 1)
    middles = (np.arange(len(mean)) + 0.5) / len(mean)
    near = np.abs((middles - share + 0.5) % 1.0 - 0.5) <= max(reach, 1.0 / len(mean))
    return float(np.max(math.copysign(1.0, side) * mean[near]))
