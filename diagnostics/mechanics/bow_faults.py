"""A bowed structure: the belt, straight under its tension, cuts the corner.

With h(s) the structure's displacement (right positive) and y relative to the structure, the
forcing is -K_el [h, h'], K_el being bending and tension stiffness alone. Idlers square to the bow
turn with it; idlers left square to the old line add -C_i h'_i.
"""

import math

import numpy as np

from diagnostics.mechanics.influence import Family, Influences
from diagnostics.mechanics.nodes import Floats
from diagnostics.mechanics.roll_faults import MOST_PLACES
from plant.loop.vocabulary import Run

HALF_LENGTHS_M = (8.0, 16.0, 24.0)
# Usual height of a bow; engineering judgement, to be calibrated. [mm]
BOW_MM = 80.0
# Clear of the pulleys at the ends of a run. [m]
END_M = 2.0


def bows(influences: Influences, run: Run) -> list[Family]:
    """Bows of three lengths along a run, idlers turned with the structure or not."""
    loop = influences.line.data.loop
    start, end = (0.0, loop.head_m) if run is Run.CARRYING else (loop.head_m, loop.tail_m)
    found = []
    for half_m in HALF_LENGTHS_M:
        room = end - start - 2 * (half_m + END_M)
        if room < 0:
            continue
        step = max(half_m / 3, room / MOST_PLACES)
        centres: Floats = (
            start + half_m + END_M + step * np.arange(int(room / step) + 1, dtype=np.float64)
        )
        found += _variants(influences, run, half_m, centres)
    return found


def _variants(influences: Influences, run: Run, half_m: float, centres: Floats) -> list[Family]:
    rolls = influences.line.nodes.rolls
    on_run = np.array([i for i, roll in enumerate(rolls) if roll.run is run], dtype=int)
    if not len(on_run):
        return []
    at = np.array([rolls[i].position_m for i in on_run])
    turned = np.array([_bend(influences, centre, half_m) for centre in centres]).T
    steered = np.array(
        [_left_square(influences, on_run, at, centre, half_m) for centre in centres]
    ).T
    names = tuple(rolls[on_run[np.argmin(np.abs(at - centre))]].name for centre in centres)
    return [
        Family(
            f"bow {run}",
            influence,
            BOW_MM,
            "mm",
            centres,
            centres - half_m,
            centres + half_m,
            names,
        )
        for influence in (turned, turned + steered)
    ]


def _bend(influences: Influences, centre_m: float, half_m: float) -> Floats:
    """Offset per millimetre of bow to the left, h = -cos^2, by tension and bending."""
    s_m = influences.line.nodes.s_m
    inside = np.flatnonzero(np.abs(s_m - centre_m) < half_m)
    x = (s_m[inside] - centre_m) / half_m
    height = np.cos(np.pi * x / 2) ** 2
    slope = -np.pi / (2 * half_m) * np.sin(np.pi * x)
    elastic = influences.elastic
    result: Floats = elastic[2 * inside].T @ height + elastic[2 * inside + 1].T @ slope
    return result


def _left_square(
    influences: Influences, on_run: np.ndarray, at: Floats, centre_m: float, half_m: float
) -> Floats:
    """What idlers add that stayed square to the old line: -C h', again for a bow to the left."""
    near = np.abs(at - centre_m) < half_m
    slope = -math.pi / (2 * half_m) * np.sin(np.pi * (at[near] - centre_m) / half_m)
    index = on_run[near]
    steering = influences.adjoint[influences.roll_rows[index]] * influences.grip_n_rad[index]
    result: Floats = steering.T @ slope
    return result
