"""The formulas of the engineering check, on plain numbers in SI units unless a name says mm."""

import math

import numpy as np

from diagnostics.mechanics.register_check import limits
from diagnostics.mechanics.tension import GRAVITY_MPS2


def sag_share(spacing_m: float, mass_kg_m: float, tension_n: float) -> float:
    """Sag of the belt between two idler sets, as a share of their distance.

    Parameters
    ----------
    spacing_m : float
        Between the sets, > 0. [m]
    mass_kg_m : float
        Of belt and material on it, > 0. [kg/m]
    tension_n : float
        Of the belt there; at 0 and below it hangs through. [N]

    Returns
    -------
    float
        h / a; infinite for a belt without tension.

    Notes
    -----
    h/a = a q g / (8 T), the flat parabola of a rope; good to 1 % up to a sag of 5 %. The slope is
    left out, which makes the sag of a steep belt a little too large.

    References
    ----------
    ISO 5048, least tension for a sag limit (T = a q g / (8 h/a)).
    """
    _above_zero(spacing_m=spacing_m, mass_kg_m=mass_kg_m)
    if not tension_n > 0:
        return math.inf
    return spacing_m * mass_kg_m * GRAVITY_MPS2 / (8 * tension_n)


def tension_for_sag_n(spacing_m: float, mass_kg_m: float, share: float) -> float:
    """Least tension that keeps the sag within a share of the spacing: a q g / (8 h/a). [N]

    References
    ----------
    As for `sag_share`.
    """
    _above_zero(spacing_m=spacing_m, mass_kg_m=mass_kg_m, share=share)
    return spacing_m * mass_kg_m * GRAVITY_MPS2 / (8 * share)


def roll_speed_rpm(belt_speed_mps: float, diameter_mm: float) -> float:
    """Turns a minute of a roll or pulley that the belt does not slip on: 60 v / (pi D).

    Reference: identity.
    """
    _above_zero(belt_speed_mps=belt_speed_mps, diameter_mm=diameter_mm)
    return 60 * belt_speed_mps / (math.pi * diameter_mm / 1000)


def rim_speed_mps(turns_rpm: float, diameter_mm: float) -> float:
    """Speed of a pulley's rim, and of the belt on it but for its thickness: pi D n / 60. [m/s]

    Reference: identity.
    """
    _above_zero(turns_rpm=turns_rpm, diameter_mm=diameter_mm)
    return math.pi * diameter_mm / 1000 * turns_rpm / 60


def load_kg_m(capacity_tph: float, belt_speed_mps: float) -> float:
    """Material on a metre of belt at full capacity: Q / (3.6 v). [kg/m]

    Reference: identity.
    """
    _above_zero(belt_speed_mps=belt_speed_mps)
    if not (capacity_tph >= 0 and math.isfinite(capacity_tph)):
        raise ValueError(f"capacity_tph must be from 0 on, got {capacity_tph!r}")
    return capacity_tph / (3.6 * belt_speed_mps)


def counterweight_kg(strand_n: float) -> float:
    """Mass of a gravity take-up that holds a tension in each of its two strands: 2 T / g. [kg]

    Friction of guides and ropes is left out. Reference: statics.
    """
    return 2 * strand_n / GRAVITY_MPS2


def length_coefficient(centre_m: float) -> float:
    """All resistances but slope and special ones over the main resistance, C.

    Parameters
    ----------
    centre_m : float
        Length of the belt line, > 0; below 100 m taken as 100 m, which is rather too little,
        above 2000 m as 2000 m. [m]

    References
    ----------
    ISO 5048, short form C F_H + q_G H g; values from memory, straight lines between them.
    """
    _above_zero(centre_m=centre_m)
    return float(np.interp(centre_m, limits.LENGTHS_M, limits.LENGTH_COEFFICIENTS))


def transition_m(width_mm: float, trough_deg: float, *, is_steel_cord: bool) -> float:
    """Least distance from a pulley to the first full trough, the pulley raised by half of it. [m]

    Parameters
    ----------
    width_mm, trough_deg : float
        Belt width > 0 [mm]; trough angle, above 45 degrees taken as 45. [deg]
    is_steel_cord : bool
        Steel cords stretch less at the edges and need about twice the way.

    References
    ----------
    CEMA belt book, as `limits.TRANSITION_FABRIC` says.
    """
    _above_zero(width_mm=width_mm)
    factors = limits.TRANSITION_STEEL if is_steel_cord else limits.TRANSITION_FABRIC
    return width_mm / 1000 * float(np.interp(trough_deg, limits.TRANSITION_DEG, factors))


def _above_zero(**figures: float) -> None:
    for name, value in figures.items():
        if not (value > 0 and math.isfinite(value)):
            raise ValueError(f"{name} must be finite and above 0, got {value!r}")
