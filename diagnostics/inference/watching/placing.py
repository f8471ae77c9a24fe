"""Where on the belt something sits that comes round, from weights over moments of the turn."""

import math
from dataclasses import dataclass

import numpy as np

from diagnostics.mechanics.nodes import Floats

# Weight farther from the likeliest place than this share of the belt is another place, not spread.
_SAME_PLACE = 0.1
# How well a belt position is known at best, whatever the figures say: the reference splice has a
# length of its own; engineering judgement. [m]
LEAST_SPREAD_M = 1.0
# What shows over no more than this is a point as far as anybody needs; longer, and its middle is
# uncertain by a part of its length. Engineering judgement. [m]
POINT_M = 12.0


@dataclass(frozen=True)
class BeltPlace:
    """Belt position and its standard deviation. [m]"""

    position_m: float
    spread_m: float


def belt_position_m(
    at_s: Floats, splice_s: Floats, turn_s: Floats, length_m: float, *, is_backwards: bool
) -> Floats:
    """Belt position of what passes at a moment, from the pass of the reference splice.

    Parameters
    ----------
    at_s, splice_s : array
        When it passes, and when the reference splice passes. [s]
    turn_s : array
        Revolution time. [s]
    length_m : float
        Belt length. [m]
    is_backwards : bool
        The belt ran against carrying travel: what is ahead of the splice then passes after it.

    Returns
    -------
    array
        From 0 to the belt length, in the direction of carrying travel. [m]

    Notes
    -----
    b = v (t_splice - t_defect), with v = -L/T running backwards.
    """
    way = (splice_s - at_s) / turn_s * (-1.0 if is_backwards else 1.0)
    result: Floats = (way % 1.0) * length_m
    return result


def placed(
    positions_m: Floats, weights: Floats, length_m: float, *, error_m: float, extent_m: float
) -> BeltPlace:
    """Middle and spread of weighted belt positions round the likeliest of them.

    Parameters
    ----------
    positions_m, weights : array, shape (n,)
        Belt positions [m] and weights, not all 0.
    length_m : float
        Belt length. [m]
    error_m : float
        Standard error of the reference splice itself. [m]
    extent_m : float
        Over how much belt it shows. [m]

    Notes
    -----
    A long section is placed only to about half its length: half of what it shows over beyond a
    point is taken as one standard deviation.
    """
    best = _densest(positions_m, weights, length_m)
    apart = (positions_m - best + length_m / 2) % length_m - length_m / 2
    near = weights * (np.abs(apart) <= _SAME_PLACE * length_m)
    total = float(near.sum())
    middle = float(np.sum(near * apart)) / total
    variance = float(np.sum(near * (apart - middle) ** 2)) / total
    of_length = max(extent_m - POINT_M, 0.0) / 2
    spread = math.sqrt(variance + error_m**2 + of_length**2)
    return BeltPlace((best + middle) % length_m, max(spread, LEAST_SPREAD_M))


def _densest(positions_m: Floats, weights: Floats, length_m: float) -> float:
    """The middle of the two metres, or hundredth of the belt, that hold most weight."""
    slots = max(int(length_m / 2), 25)
    slot = np.minimum((positions_m / length_m * slots).astype(int), slots - 1)
    held = np.bincount(slot, weights, slots)
    smooth = held + np.roll(held, 1) + np.roll(held, -1)
    return float((np.argmax(smooth) + 0.5) / slots * length_m)
