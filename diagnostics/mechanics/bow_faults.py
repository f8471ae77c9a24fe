"""A bowed structure: the belt, straight under its tension, cuts the corner."""

import math

import numpy as np
from scipy.sparse import coo_array, csr_array

from diagnostics.mechanics.candidates import Candidates, names_at, stretches
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.nodes import Floats
from diagnostics.mechanics.roll_faults import MOST_PLACES
from plant.loop.vocabulary import Run

HALF_LENGTHS_M = (8.0, 16.0, 24.0)
# Usual height of a bow; engineering judgement, to be calibrated. [mm]
BOW_MM = 80.0
# Clear of the pulleys at the ends of a run. [m]
END_M = 2.0
_M_PER_MM = 0.001


def bows(model: LateralModel, run: Run) -> list[Candidates]:
    """Bows of three lengths along a run, idlers turned with the structure or left square.

    Parameters
    ----------
    model : LateralModel
    run : Run

    Returns
    -------
    list of Candidates
        Unit mm; positive bows the structure to the left, which sets the belt to its right.

    Notes
    -----
    With h(s) the structure's displacement (right positive) and y relative to the structure, the
    forcing is -K_el [h, h'], K_el being bending and tension stiffness alone; about q = T h''. Here
    h = -cos^2(pi (s - c) / 2 H) over the half length H. Idlers square to the bow turn with it;
    idlers left square to the old line add -C_i h'_i.

    References
    ----------
    Own derivation from the weak form.
    """
    nodes, loop = model.line.nodes, model.line.data.loop
    on_run = nodes.rolls_on(run)
    if not len(on_run):
        return []
    start, end = (0.0, loop.head_m) if run is Run.CARRYING else (loop.head_m, loop.tail_m)
    names = [nodes.rolls[one].name for one in on_run]
    found = []
    for half_m in HALF_LENGTHS_M:
        room = end - start - 2 * (half_m + END_M)
        if room < 0:
            continue
        step = max(half_m / 3, room / MOST_PLACES)
        centres: Floats = (
            start + half_m + END_M + step * np.arange(int(room / step) + 1, dtype=np.float64)
        )
        turned = bent_structure(model, centres, half_m)
        steered = turned + _left_square(model, on_run, centres, half_m)
        middles = names_at(centres, nodes.roll_at_m[on_run], names)
        found += [
            Candidates(
                f"bow {run}",
                matrix,
                BOW_MM,
                "mm",
                centres,
                centres - half_m,
                centres + half_m,
                middles,
            )
            for matrix in (turned, steered)
        ]
    return found


def bent_structure(model: LateralModel, centres_m: Floats, half_m: float) -> csr_array:
    """Tension and bending of a belt beside a structure that bows to the left."""
    candidate, node, x = stretches(centres_m, half_m, model.line.nodes.s_m)
    height = np.cos(np.pi * x / 2) ** 2 * _M_PER_MM
    slope = -np.pi / (2 * half_m) * np.sin(np.pi * x) * _M_PER_MM
    shape = coo_array(
        (
            np.concatenate([height, slope]),
            (np.tile(candidate, 2), np.concatenate([2 * node, 2 * node + 1])),
        ),
        shape=(len(centres_m), model.size),
    )
    # Of K_el only the balance rows act; it is symmetric but for those it leaves empty.
    result: csr_array = csr_array(shape) @ model.elastic.T.tocsr()
    return result


def _left_square(
    model: LateralModel, on_run: np.ndarray, centres_m: Floats, half_m: float
) -> csr_array:
    """What idlers add that stayed square to the old line: -C h', again for a bow to the left."""
    nodes = model.line.nodes
    candidate, number, x = stretches(centres_m, half_m, nodes.roll_at_m[on_run])
    slope = -math.pi / (2 * half_m) * np.sin(np.pi * x) * _M_PER_MM
    roll = on_run[number]
    values = slope * model.line.grip_n_rad[roll]
    return csr_array(
        (values, (candidate, nodes.roll_rows[roll])), shape=(len(centres_m), model.size)
    )
