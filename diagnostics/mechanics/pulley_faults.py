"""Pulleys out of square, worn or built up on one side, or handing the belt on displaced."""

import math
from dataclasses import dataclass

from diagnostics.mechanics.candidates import Candidates, at_component
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.line import Line
from diagnostics.mechanics.nodes import PulleyNodes
from plant.loop.parts import Part

# Usual sizes; engineering judgement, to be calibrated.
PULLEY_SKEW_DEG = 0.7
PULLEY_TAPER_MM = 3.0
USUAL_DIAMETER_MM = 500.0
# Wraps this near to half a turn have one direction that steers. [deg]
ABOUT_HALF_TURN_DEG = 20.0


def skewed_pulley(model: LateralModel, pulley: PulleyNodes) -> list[Candidates]:
    """One candidate for each direction in which a displaced bearing steers. Unit deg."""
    part = pulley.part
    return [
        at_component(
            f"skew {part.name}",
            part.name,
            part.first_m,
            _displaced(pulley, steering(part, direction)),
            model.size,
            PULLEY_SKEW_DEG,
            "deg",
        )
        for direction in directions_deg(part)
    ]


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
    """What a pulley does whose left bearing stands off in a side-view direction.

    Parameters
    ----------
    part : Part
        The pulley.
    phi_deg : float
        Direction in side view in which the left bearing is displaced: 0 the carrying direction,
        90 up. [deg]

    Notes
    -----
    With the right bearing displaced by psi b: eps_in = -psi cos(phi - in), eps_out = -psi
    cos(phi - out), and the belt moves over the wrap by -psi times arc times the mean of
    cos(phi - theta). Here it is the left one, so that positive drives the belt right.

    Out of level is phi = 90: on half a turn between level strands the headings vanish, and what
    is left, diameter times tilt, competes with gravity within a few millimetres. The published
    rule (to the low side) therefore stays a rule; no candidate is made of it.

    References
    ----------
    Normal entry, identity; own derivation of the wrap.
    """
    start, end = math.radians(part.in_deg or 0.0), math.radians(part.out_deg or 0.0)
    phi = math.radians(phi_deg)
    turn = end - start
    mean = math.cos(phi - start)
    if abs(turn) > 1e-9:
        mean = (math.sin(phi - start) - math.sin(phi - end)) / turn
    return Steering(math.cos(phi - start), math.cos(phi - end), part.arc_m * mean)


def _displaced(pulley: PulleyNodes, turned: Steering) -> dict[int, float]:
    per_deg = math.radians(1.0)
    return {
        2 * pulley.node_in: turned.heading_in * per_deg,
        2 * pulley.node_out + 1: turned.heading_out * per_deg,
        2 * pulley.node_out: turned.moved_m * per_deg,
    }


def tapered_pulley(model: LateralModel, pulley: PulleyNodes) -> Candidates:
    """One millimetre of diameter more on the right: worn lagging left, build-up right."""
    part = pulley.part
    return at_component(
        f"taper {part.name}",
        part.name,
        part.first_m,
        {2 * pulley.node_in + 1: taper_moment_n_m(model.line, pulley)},
        model.size,
        PULLEY_TAPER_MM,
        "mm diameter",
    )


def taper_moment_n_m(line: Line, pulley: PulleyNodes) -> float:
    """Moment at first touch per millimetre of diameter more on the right. [N m/mm]

    Notes
    -----
    -EI kappa with kappa = dD / (D b), capped at T b / (6 EI), where the far edge of the belt goes
    slack: kappa_max tanh(kappa / kappa_max), taken at the usual size so that it stays linear. The
    belt goes to the larger end and stays there downstream.

    References
    ----------
    Own derivation; crowned-pulley rule, common practice, no source.
    """
    belt = line.data.belt
    diameter_m = (pulley.part.diameter_mm or USUAL_DIAMETER_MM) / 1000
    usual = PULLEY_TAPER_MM / 1000 / (diameter_m * belt.width_m)
    cap = float(line.tension_n[pulley.node_in]) * belt.width_m / (6 * belt.bending_n_m2)
    return -belt.bending_n_m2 * cap * math.tanh(usual / cap) / PULLEY_TAPER_MM


def handed_on(pulley: PulleyNodes, displaced_m: float) -> dict[int, float]:
    """Right-hand side of a belt that leaves the pulley displaced, by whatever happened on it."""
    return {2 * pulley.node_out: displaced_m}
