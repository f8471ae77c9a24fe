"""Defects that travel with the belt: what a walk-down would have caught of them.

A travelling defect is seen only where it happens to pass while somebody looks. It does not slip
on the rolls, so that its shape does not depend on their grip.
"""

import math

import numpy as np

from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.reach import Floats, LoopResponse
from diagnostics.inference.readings import Readings
from diagnostics.inference.vocabulary import LoadState, Persistence
from plant.loop.path import belt_revolution_time_s

# How long a person looks at one station; engineering judgement, to be calibrated. [s]
LOOK_S = 20.0
# Length of belt over which a defect shows; engineering judgement. [m]
SHOWS_OVER_M = 12.0
# A cambered section is long: it is caught so much oftener; engineering judgement.
LONGER_CHANCE = 0.2
# Usual sizes: angle of a crooked splice or of one-sided damage, curvature of a camber;
# engineering judgement, to be calibrated. [deg, 1/m]
ANGLE_DEG = 1.2
CAMBER_PER_M = 0.003
# What people say of a fault that stays in place, and of a defect that passes; engineering
# judgement, to be calibrated.
_SAID_OF_FIXED = {
    Persistence.STEADY: 0.9,
    Persistence.COMES_AND_GOES: 0.05,
    Persistence.NO_PATTERN: 0.05,
}
_SAID_OF_ERRATIC = {
    Persistence.STEADY: 0.2,
    Persistence.COMES_AND_GOES: 0.2,
    Persistence.NO_PATTERN: 0.6,
}
_SAID_AMISS, _SAID_WHEN_SEEN = 0.02, 0.85


def chance_of_seeing(conveyor: ConveyorFacts, *, is_long: bool) -> float:
    """Chance that a defect of the belt passes while a person looks at one station."""
    turn_s = belt_revolution_time_s(conveyor.belt.length_m, conveyor.speed_mps)
    chance = (LOOK_S + SHOWS_OVER_M / abs(conveyor.speed_mps)) / turn_s
    return min(chance + (LONGER_CHANCE if is_long else 0.0), 1.0)


def peaks_mm(
    readings: Readings, responses: dict[LoadState, LoopResponse], *, is_long: bool
) -> Floats:
    """Offset at each reading while a defect of usual size passes it.

    Notes
    -----
    An angle: ``phi / (2 sqrt(T/EI + 2 sqrt(k/EI)))``; a long camber: ``kappa EI / (T + 2 sqrt(EI
    k))``, on a bed of stiffness k under tension T.

    References
    ----------
    Infinite beam on an elastic bed under tension; own derivation.
    """
    looks = zip(readings.looks.position_m, readings.looks.load, strict=True)
    return np.array([_peak_mm(float(place), responses[load], is_long) for place, load in looks])


def _peak_mm(position_m: float, response: LoopResponse, is_long: bool) -> float:
    duty = response.duty
    run = response.carrying if position_m <= response.loop.head_m else response.returning
    bed = run.centring_n_m2
    if is_long:
        softness = run.tension_n + 2 * math.sqrt(duty.bending_nm2 * bed)
        return 1000 * CAMBER_PER_M * duty.bending_nm2 / softness
    stiffness = run.tension_n / duty.bending_nm2 + 2 * math.sqrt(bed / duty.bending_nm2)
    return 1000 * math.radians(ANGLE_DEG) / (2 * math.sqrt(stiffness))


def said_of_fixed(readings: Readings) -> float:
    """Log probability of the remarks on persistence when the cause stays in place."""
    return sum(math.log(_SAID_OF_FIXED[said]) for said in _said(readings))


def said_of_erratic(readings: Readings) -> float:
    return sum(math.log(_SAID_OF_ERRATIC[said]) for said in _said(readings))


def said_of_travelling(readings: Readings, chance: float) -> float:
    """Log probability of the remarks when a defect passes each station with that chance."""
    passing = _SAID_AMISS + _SAID_WHEN_SEEN * chance
    words = {
        Persistence.COMES_AND_GOES: passing,
        Persistence.NO_PATTERN: _SAID_OF_FIXED[Persistence.NO_PATTERN],
    }
    words[Persistence.STEADY] = 1 - sum(words.values())
    return sum(math.log(words[said]) for said in _said(readings))


def _said(readings: Readings) -> list[Persistence]:
    return [one.persistence for one in readings.sightings if one.persistence is not None]
