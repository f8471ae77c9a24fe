"""Pulleys out of square, worn or built up on one side."""

import math
from dataclasses import dataclass

import numpy as np

from diagnostics.mechanics.influence import MM_PER_DEG, MM_PER_M, Family, Influences, at_component
from diagnostics.mechanics.line import Line
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
        for direction in directions_deg(part)
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


def directions_deg(part: Part) -> tuple[float, ...]:
    """Side-view directions of a displaced bearing: along the belt coming in, and going out.

    With half a turn the two are one; across them only the position changes.
    """
    start, end = part.in_deg or 0.0, part.out_deg or 0.0
    if abs(abs(end - start) - 180.0) <= ABOUT_HALF_TURN_DEG:
        return (start,)
    return (start, end)


@dataclass(frozen=True)
class Steering:
    """What one bearing out of place does to the belt, per radian of skew; driven right positive.

    Attributes
    ----------
    heading_in, heading_out : float
        Heading at first touch and at the leaving tangent. [rad/rad]
    moved_m : float
        Sideways way over the wrap. [m/rad]
    """

    heading_in: float
    heading_out: float
    moved_m: float


def steering(part: Part, phi_deg: float) -> Steering:
    """One bearing displaced in direction phi so that the belt is driven right.

    eps_in = cos(phi - in), eps_out = cos(phi - out), and the belt moves over the wrap by arc times
    the mean of cos(phi - theta).
    """
    start, end = math.radians(part.in_deg or 0.0), math.radians(part.out_deg or 0.0)
    phi = math.radians(phi_deg)
    turn = end - start
    mean = math.cos(phi - start)
    if abs(turn) > 1e-9:
        mean = (math.sin(phi - start) - math.sin(phi - end)) / turn
    return Steering(math.cos(phi - start), math.cos(phi - end), part.arc_m * mean)


def _skew(influences: Influences, pulley: PulleyNodes, phi_deg: float) -> Floats:
    """Offset per degree of skew."""
    turned = steering(pulley.part, phi_deg)
    adjoint = influences.adjoint
    moved: Floats = (
        adjoint[2 * pulley.node_in] * turned.heading_in
        + adjoint[2 * pulley.node_out + 1] * turned.heading_out
        + adjoint[2 * pulley.node_out] * turned.moved_m
    )
    return moved * MM_PER_DEG


def taper_moment_n_m(line: Line, pulley: PulleyNodes) -> float:
    """Moment at first touch per millimetre of diameter more on the right. [N m/mm]

    -EI kappa with kappa = dD / (D b), capped at T b / (6 EI), where the far edge of the belt goes
    slack; linear about the usual size.
    """
    belt = line.data.belt
    diameter_m = (pulley.part.diameter_mm or USUAL_DIAMETER_MM) / 1000
    usual = PULLEY_TAPER_MM / 1000 / (diameter_m * belt.width_m)
    cap = float(line.tension_n[pulley.node_in]) * belt.width_m / (6 * belt.bending_n_m2)
    return -belt.bending_n_m2 * cap * math.tanh(usual / cap) / PULLEY_TAPER_MM


def _taper(influences: Influences, pulley: PulleyNodes) -> Floats:
    """Offset per millimetre of diameter more on the right."""
    moments = np.array([taper_moment_n_m(model.line, pulley) for model in influences.models])
    at_reading = moments[influences.looks.model]
    result: Floats = influences.adjoint[2 * pulley.node_in + 1] * at_reading * MM_PER_M
    return result
