"""Rolls that hang or drag: out of level, dropped at one end, built up, seized; racked structure.

Forcings for showing what such a fault does; none of them is a family of the inference. Level alone
and the drag of a seized roll move the belt by millimetres, and what a dropped, seized or built-up
roll does beside it, steering, has the shape of a roll out of square at the same place: candidates
of their own would share its weight and tell nothing. A finding at the idler decides.
"""

import math

import numpy as np

from diagnostics.mechanics.candidates import Candidates, windows
from diagnostics.mechanics.lateral import LateralModel
from plant.loop.vocabulary import Run

# Usual sizes; engineering judgement. 20 mm per metre is a dropped end; guide values for structure
# are a tenth of that. [mm/m, N m, deg]
OUT_OF_LEVEL_MM_M = 20.0
SEIZED_DRAG_N_M = 20.0
RACKED_DEG = 0.2


def lowered_rolls(model: LateralModel) -> Candidates:
    """Every roll with its right end one millimetre per metre too low. Unit mm/m.

    Parameters
    ----------
    model : LateralModel

    Returns
    -------
    Candidates
        In the order of the nodes' rolls; the belt goes to the low side, so that positive drives
        it right. A dropped end is one of them, a structure out of level the sum over a stretch,
        build-up on one end of a roll (thickness over roll length) one with the clean end low.

    Notes
    -----
    Shear -w a beta at the roll's node, beta > 0 with the right end high, w a the weight of belt
    and material on it; spread out q = -w beta. Small: 20 mm per metre along a whole structure
    gives 7 to 20 mm.

    References
    ----------
    Own derivation. Direction: US Army TM 5-3895-374-24-2 (pulleys), common practice (structure).
    """
    return _singly(model, "out of level", model.line.pressing_n / 1000, OUT_OF_LEVEL_MM_M, "mm/m")


def lowered_structure(model: LateralModel, run: Run, from_m: float, to_m: float) -> Candidates:
    """All rolls of a run between two places with their right ends too low. Unit mm/m.

    References
    ----------
    As `lowered_rolls`.
    """
    chosen = _between(model, run, from_m, to_m)
    return _together(
        model, "out of level", chosen, model.line.pressing_n / 1000, OUT_OF_LEVEL_MM_M, "mm/m"
    )


def dragging_rolls(model: LateralModel) -> Candidates:
    """Every roll seized so that it drags on one side by one newton metre. Unit N m.

    Parameters
    ----------
    model : LateralModel

    Returns
    -------
    Candidates
        In the order of the nodes' rolls. Positive: the drag F acts at r to the right of the
        centre, amplitude F r; the belt is turned toward it.

    Notes
    -----
    Moment +F r on the slope row of the roll's node: the belt is turned right there, so that it
    lies to the left before it and to the right some metres behind it, by less than a millimetre.
    A seized roll also loses its grip sideways, for the belt slides on it along its way, and often
    tilts: that steers, as a roll out of square does.

    References
    ----------
    Own derivation.
    """
    turned = np.ones(len(model.line.nodes.rolls))
    return _singly(model, "dragging", turned, SEIZED_DRAG_N_M, "N m", slope=True)


def racked_structure(model: LateralModel, from_m: float, to_m: float, run: Run) -> Candidates:
    """A stretch of structure turned in plan by one degree, left stringer toward the head.

    Parameters
    ----------
    model : LateralModel
    from_m, to_m : float
        Ends of the stretch on its run. [m]
    run : Run
        Whose rolls stand on it; a structure that carries both is asked twice and added up.

    Returns
    -------
    Candidates
        One candidate, unit deg.

    Notes
    -----
    Seen from the tail with the right side forward by rho: eps = -rho at carrying rolls and
    eps = +rho at return rolls, whose local travel is toward the tail. Here the left side is
    forward: carrying rolls drive the belt right, return rolls of the same stretch left.

    References
    ----------
    Identity: local travel turns round between the runs.
    """
    sign = 1.0 if run is Run.CARRYING else -1.0
    chosen = _between(model, run, from_m, to_m)
    values = sign * model.line.grip_n_rad * math.radians(1.0)
    return _together(model, f"racked {run}", chosen, values, RACKED_DEG, "deg")


def _between(model: LateralModel, run: Run, from_m: float, to_m: float) -> np.ndarray:
    on_run = model.line.nodes.rolls_on(run)
    at = model.line.nodes.roll_at_m[on_run]
    chosen: np.ndarray = on_run[(at >= from_m) & (at <= to_m)]
    if not len(chosen):
        raise ValueError(f"no roll of the {run} run stands from {from_m:g} to {to_m:g} m")
    return chosen


def _singly(
    model: LateralModel,
    name: str,
    values: np.ndarray,
    spread: float,
    unit: str,
    *,
    slope: bool = False,
) -> Candidates:
    """Every roll by itself, on its shear row or on its slope row."""
    nodes = model.line.nodes
    every = np.arange(len(nodes.rolls))
    names = tuple(roll.name for roll in nodes.rolls)
    matrix = windows(every, 1, nodes.roll_rows + int(slope), values, model.size)
    at = nodes.roll_at_m
    return Candidates(name, matrix, spread, unit, at, at, at, names)


def _together(
    model: LateralModel,
    name: str,
    chosen: np.ndarray,
    values: np.ndarray,
    spread: float,
    unit: str,
) -> Candidates:
    nodes = model.line.nodes
    rows = nodes.roll_rows[chosen]
    matrix = windows(np.array([0]), len(chosen), rows, values[chosen], model.size)
    first, last = nodes.roll_at_m[chosen[:1]], nodes.roll_at_m[chosen[-1:]]
    middle = nodes.rolls[int(chosen[len(chosen) // 2])].name
    return Candidates(name, matrix, spread, unit, (first + last) / 2, first, last, (middle,))
