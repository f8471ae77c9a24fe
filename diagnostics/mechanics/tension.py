"""Belt tension along the loop, from the take-up on, after ISO 5048's resistances."""

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

    def carrying_n_m(self, friction: float = FRICTION_FACTOR) -> float:
        """Rise of tension per metre of carrying run along travel. [N/m]

        f g (m_rolls + m_belt + m_load) + (m_belt + m_load) g H / L. Reference: ISO 5048, main
        and slope resistance.
        """
        moved = self.belt_kg_m + self.load_kg_m
        slope = self.lift_m / self.centre_m
        return GRAVITY_MPS2 * (friction * (self.carrying_rolls_kg_m + moved) + moved * slope)

    def return_n_m(self, friction: float = FRICTION_FACTOR) -> float:
        """Rise of tension per metre of return run along travel. [N/m]

        f g (m_rolls + m_belt) - m_belt g H / L. Reference: as for the carrying run.
        """
        slope = self.lift_m / self.centre_m
        return GRAVITY_MPS2 * (
            friction * (self.return_rolls_kg_m + self.belt_kg_m) - self.belt_kg_m * slope
        )


def tension_along_loop_n(
    positions_m: Floats,
    *,
    head_m: float,
    length_m: float,
    strands: Strands,
    known_at_m: float,
    known_n: float,
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
    upward, homeward = strands.carrying_n_m(), strands.return_n_m()
    if known_at_m <= head_m:
        at_tail = known_n - upward * known_at_m
    else:
        at_tail = known_n + homeward * (length_m - known_at_m)
    carrying = at_tail + upward * positions_m
    returning = at_tail - homeward * (length_m - positions_m)
    tension: Floats = np.where(positions_m <= head_m, carrying, returning)
    return np.maximum(tension, LEAST_SHARE * known_n)
