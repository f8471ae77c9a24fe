"""Belt tension along the loop, from the take-up on, after ISO 5048's resistances."""

import math
from dataclasses import dataclass

import numpy as np

from diagnostics.mechanics.nodes import Floats

GRAVITY_MPS2 = 9.81
# Artificial friction factor of idlers and belt; 0.020 usual, 0.018-0.030 (common practice, no
# source).
FRICTION_FACTOR = 0.022
# Rotating parts of the idlers per metre of belt line and metre of belt width; engineering
# judgement. [kg/m2]
CARRYING_ROLLS_KG_M2 = 12.0
RETURN_ROLLS_KG_M2 = 5.0
# Below this share of the take-up tension the figures are wrong rather than the belt slack;
# engineering judgement.
LEAST_SHARE = 0.15
# Rubber on a lagged drive pulley; from memory (CEMA wrap factors: 0.25 bare, 0.35 lagged).
LAGGED_FRICTION = 0.35
# No conveyor belt climbs more steeply than this; it keeps a mistyped lift from breaking the sum.
STEEPEST_SINE = 0.9


@dataclass(frozen=True)
class Strands:
    """Masses and run of one conveyor in one load state.

    Attributes
    ----------
    belt_kg_m, load_kg_m : float
        Mass of belt, and of material on the carrying run. [kg/m]
    carrying_rolls_kg_m, return_rolls_kg_m : float
        Rotating parts of the idlers of each run. [kg/m]
    lift_m, centre_m : float
        Rise from tail to head (negative downhill) and length of the belt line. [m]
    """

    belt_kg_m: float
    load_kg_m: float
    carrying_rolls_kg_m: float
    return_rolls_kg_m: float
    lift_m: float
    centre_m: float

    @property
    def sine(self) -> float:
        """Of the slope, H / L with L along the belt line."""
        return max(-STEEPEST_SINE, min(STEEPEST_SINE, self.lift_m / self.centre_m))

    @property
    def cosine(self) -> float:
        return math.sqrt(1 - self.sine**2)

    def carrying_n_m(self, friction: float = FRICTION_FACTOR) -> float:
        """Rise of tension per metre of carrying run along travel. [N/m]

        f g (m_rolls + (m_belt + m_load) cos d) + (m_belt + m_load) g sin d. Reference: ISO 5048,
        main and slope resistance.
        """
        moved = self.belt_kg_m + self.load_kg_m
        main = friction * (self.carrying_rolls_kg_m + moved * self.cosine)
        return GRAVITY_MPS2 * (main + moved * self.sine)

    def return_n_m(self, friction: float = FRICTION_FACTOR) -> float:
        """Rise of tension per metre of return run along travel. [N/m]

        f g (m_rolls + m_belt cos d) - m_belt g sin d. Reference: as for the carrying run.
        """
        main = friction * (self.return_rolls_kg_m + self.belt_kg_m * self.cosine)
        return GRAVITY_MPS2 * (main - self.belt_kg_m * self.sine)

    def pull_n(self, friction: float = FRICTION_FACTOR) -> float:
        """Main and slope resistance of the whole belt: what the drive pulls at least. [N]

        Secondary resistances (skirts, cleaners, bending round pulleys) come on top; ISO 5048 gives
        them as a factor of 1.1 to 1.8 on the main resistance.
        """
        return self.centre_m * (self.carrying_n_m(friction) + self.return_n_m(friction))


def tension_ratio(friction: float, wrap_rad: float) -> float:
    """Tight side over slack side of a drive pulley that is about to slip, e^(mu alpha).

    Parameters
    ----------
    friction : float
        Belt on pulley, >= 0.
    wrap_rad : float
        Arc of contact, >= 0. [rad]

    Raises
    ------
    ValueError
        Either is negative or no number.

    References
    ----------
    Euler and Eytelwein's formula, identity; values at 180 and 210 degrees as in the CEMA wrap
    factors (from memory).
    """
    for name, value in (("friction", friction), ("wrap_rad", wrap_rad)):
        if not (value >= 0 and math.isfinite(value)):
            raise ValueError(f"{name} must be from 0 on, got {value!r}")
    return math.exp(friction * wrap_rad)


def least_slack_tension_n(pull_n: float, friction: float, wrap_rad: float) -> float:
    """Tension that must wait behind a drive pulley so that it can pull: F / (e^(mu alpha) - 1).

    Parameters
    ----------
    pull_n : float
        Force handed to the belt at the pulley; a braking one, below 0, needs none. [N]
    friction, wrap_rad : float
        As for `tension_ratio`; one of them 0 can hand on nothing.

    Returns
    -------
    float
        Tension where the belt leaves the pulley. [N]
    """
    if pull_n <= 0:
        return 0.0
    left = tension_ratio(friction, wrap_rad) - 1
    return pull_n / left if left > 0 else math.inf


def tension_along_loop_n(
    positions_m: Floats,
    *,
    head_m: float,
    length_m: float,
    strands: Strands,
    known_at_m: float,
    known_n: float,
    friction: float = FRICTION_FACTOR,
) -> Floats:
    """Tension at places on the loop, with the drive at the head pulley.

    Parameters
    ----------
    positions_m : array, shape (n,)
        Loop positions, 0 to length. [m]
    head_m, length_m : float
        Where the belt meets the head pulley, length of the loop. [m]
    strands : Strands
    known_at_m, known_n : float
        Where the tension is known (the take-up; the tail's leaving tangent, 0, with a screw) and
        how much it is. [m], [N]
    friction : float
        Artificial friction factor of idlers and belt.

    Returns
    -------
    array, shape (n,)
        Tension, never below `LEAST_SHARE` of the known one. [N]

    Notes
    -----
    T rises along travel by the resistance per metre; the whole jump is taken at the head. From the
    known place the sum runs forward over the tail to the head, and backward to the head's leaving
    tangent. Secondary resistances (skirts, cleaners) are left out.

    References
    ----------
    ISO 5048, main and slope resistance.
    """
    upward, homeward = strands.carrying_n_m(friction), strands.return_n_m(friction)
    if known_at_m <= head_m:
        at_tail = known_n - upward * known_at_m
    else:
        at_tail = known_n + homeward * (length_m - known_at_m)
    carrying = at_tail + upward * positions_m
    returning = at_tail - homeward * (length_m - positions_m)
    tension: Floats = np.where(positions_m <= head_m, carrying, returning)
    return np.maximum(tension, LEAST_SHARE * known_n)
