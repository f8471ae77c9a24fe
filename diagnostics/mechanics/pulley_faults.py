"""Pulleys out of square, worn or built up on one side."""

import math

import numpy as np

from diagnostics.mechanics.influence import MM_PER_DEG, MM_PER_M, Family, Influences, at_component
from diagnostics.mechanics.nodes import Floats, PulleyNodes
from plant.loop.parts import Part

# Usual sizes; engineering judgement, to be calibrated.
PULLEY_SKEW_DEG = 0.7
PULLEY_TAPER_MM = 3.0
USUAL_DIAMETER_MM = 500.0
# Wraps this near to half a turn have one direction that steers. [deg]
ABOUT_HALF_TURN_DEG = 20.0


def pulley_faults(influences: Influences, pulley: PulleyNodes) -> list[Family]:
    part = pulley.part
    skews = [
        at_component(
            f"skew {part.name}",
            part.name,
            part.first_m,
            _skew(influences, pulley, direction),
            PULLEY_SKEW_DEG,
            "deg",
        )
        for direction in _directions_deg(part)
    ]
    taper = at_component(
        f"taper {part.name}",
        part.name,
        part.first_m,
        _taper(influences, pulley),
        PULLEY_TAPER_MM,
        "mm diameter",
    )
    return [*skews, taper]


def _directions_deg(part: Part) -> tuple[float, ...]:
    """Side-view directions of a displaced bearing: along the belt coming in, and going out.

    With half a turn the two are one; across them only the position changes.
    """
    start, end = part.in_deg or 0.0, part.out_deg or 0.0
    if abs(abs(end - start) - 180.0) <= ABOUT_HALF_TURN_DEG:
        return (start,)
    return (start, end)


def _skew(influences: Influences, pulley: PulleyNodes, phi_deg: float) -> Floats:
    """Offset per degree, one bearing displaced in direction phi so that the belt is driven right.

    eps_in = cos(phi - in), eps_out = cos(phi - out), and the belt moves over the wrap by arc times
    the mean of cos(phi - theta).
    """
    part = pulley.part
    start, end = math.radians(part.in_deg or 0.0), math.radians(part.out_deg or 0.0)
    phi = math.radians(phi_deg)
    turn = end - start
    mean = math.cos(phi - start)
    if abs(turn) > 1e-9:
        mean = (math.sin(phi - start) - math.sin(phi - end)) / turn
    adjoint = influences.adjoint
    moved: Floats = (
        adjoint[2 * pulley.node_in] * math.cos(phi - start)
        + adjoint[2 * pulley.node_out + 1] * math.cos(phi - end)
        + adjoint[2 * pulley.node_out] * part.arc_m * mean
    )
    return moved * MM_PER_DEG


def _taper(influences: Influences, pulley: PulleyNodes) -> Floats:
    """Offset per millimetre of diameter more on the right: a moment -EI kappa at first touch.

    kappa = dD / (D b), capped at T b / (6 EI), where the far edge of the belt goes slack.
    """
    belt = influences.line.data.belt
    diameter_m = (pulley.part.diameter_mm or USUAL_DIAMETER_MM) / 1000
    bending = belt.bending_n_m2
    usual = PULLEY_TAPER_MM / 1000 / (diameter_m * belt.width_m)
    caps = np.array(
        [
            model.line.tension_n[pulley.node_in] * belt.width_m / (6 * bending)
            for model in influences.models
        ]
    )
    kappa_per_mm = caps * np.tanh(usual / caps) / PULLEY_TAPER_MM
    moment = -bending * kappa_per_mm[influences.looks.model]
    result: Floats = influences.adjoint[2 * pulley.node_in + 1] * moment * MM_PER_M
    return result
