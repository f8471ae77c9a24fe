"""Defects that travel with the belt: what a walk-down would have caught of them.

A travelling defect is seen only where it happens to pass while somebody looks; then it drives the
belt to the same side everywhere. It does not slip on the rolls, so that its size does not depend
on their grip.
"""

import math
from collections.abc import Mapping

import numpy as np

from diagnostics.inference.catching import Passing
from diagnostics.inference.effect_sizes import PEAK_SPREAD, PEAKS_MM, log_plausible
from diagnostics.inference.evidence import ConveyorFacts, Sighting
from diagnostics.inference.onset import is_off
from diagnostics.inference.readings import Readings
from diagnostics.inference.vocabulary import LoadState, Persistence
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.moving import camber_peak_m, splice_peak_m_rad
from diagnostics.mechanics.nodes import Floats
from plant.loop.path import belt_revolution_time_s

# How long a person looks at one station; short, usual, long, averaged over. Engineering
# judgement. [s]
LOOKS_S = (8.0, 18.0, 35.0)
# Length of belt over which a defect, and a cambered section, shows; engineering judgement. [m]
SHOWS_OVER_M = 12.0
CAMBER_SHOWS_OVER_M = 42.0
# Usual sizes [deg, 1/m]; engineering judgement, to be calibrated.
USUAL_ANGLE_DEG = 1.0
USUAL_CAMBER_PER_M = 0.00125
# What people say of persistence while nothing passes, off centre and centred, and how often they
# say "comes and goes" of a defect they caught; engineering judgement, to be calibrated.
_SAID_OFF = {
    Persistence.STEADY: 0.88,
    Persistence.COMES_AND_GOES: 0.06,
    Persistence.NO_PATTERN: 0.06,
    None: 0.02,
}
# A centred belt that is called steady is one of which nothing was said.
_SAID_CENTRED = {
    None: 0.86,
    Persistence.STEADY: 0.86,
    Persistence.COMES_AND_GOES: 0.08,
    Persistence.NO_PATTERN: 0.06,
}
_SAID_OF_ERRATIC = {
    Persistence.STEADY: 0.2,
    Persistence.COMES_AND_GOES: 0.2,
    Persistence.NO_PATTERN: 0.6,
}
SAID_WHEN_CAUGHT = 0.88


def passings(
    readings: Readings,
    conveyor: ConveyorFacts,
    models: Mapping[LoadState, LateralModel],
    *,
    is_long: bool,
    looks_s: tuple[float, ...] = LOOKS_S,
) -> list[Passing]:
    """Every size, side and length of look that is averaged over for a travelling defect."""
    unit_mm = _unit_peaks_mm(readings, models, is_long=is_long)
    most_mm = max(_most_mm(model, is_long=is_long) for model in models.values())
    usual = USUAL_CAMBER_PER_M if is_long else math.radians(USUAL_ANGLE_DEG)
    clearance_mm = conveyor.clearance_mm
    found = []
    for look_s in looks_s:
        chance, log_said = _caught(readings, conveyor, look_s, is_long=is_long)
        sizes = np.array(PEAKS_MM) / most_mm
        log_sizes = log_plausible(sizes / usual)
        log_sizes -= np.log(np.mean(np.exp(log_sizes)))
        for size, log_size in zip(sizes, log_sizes, strict=True):
            offset = np.clip(unit_mm * size, -clearance_mm, clearance_mm)
            spread = PEAK_SPREAD * offset
            log_weight = log_said + float(log_size)
            found += [Passing(sign * offset, spread, chance, log_weight) for sign in (1.0, -1.0)]
    return found


def chance_of_seeing(conveyor: ConveyorFacts, look_s: float, *, is_long: bool) -> float:
    """Chance that a defect of the belt passes while a person looks at one station."""
    turn_s = belt_revolution_time_s(conveyor.belt.length_m, conveyor.speed_mps)
    shows_m = CAMBER_SHOWS_OVER_M if is_long else SHOWS_OVER_M
    return min((look_s + shows_m / abs(conveyor.speed_mps)) / turn_s, 1.0)


def _caught(
    readings: Readings, conveyor: ConveyorFacts, look_s: float, *, is_long: bool
) -> tuple[Floats, float]:
    """Chance that each reading caught the defect, given its remark; log probability of remarks."""
    chance = chance_of_seeing(conveyor, look_s, is_long=is_long)
    usually = np.array([_said_without(one, conveyor) for one in readings.sightings])
    comes = np.array(
        [one.persistence is Persistence.COMES_AND_GOES for one in readings.sightings], dtype=bool
    )
    if not len(usually):
        return np.zeros(len(readings.offset_mm)), 0.0
    when_caught = np.where(comes, SAID_WHEN_CAUGHT, (1 - SAID_WHEN_CAUGHT) * usually)
    # Off centre and not watched: nothing was said for either.
    unwatched = [
        one.persistence is None and is_off(one, conveyor.clearance_mm) for one in readings.sightings
    ]
    when_caught = np.where(unwatched, usually, when_caught)
    said = chance * when_caught + (1 - chance) * usually
    return chance * when_caught / said, float(np.log(said).sum())


def _unit_peaks_mm(
    readings: Readings, models: Mapping[LoadState, LateralModel], *, is_long: bool
) -> Floats:
    """Offset at each reading while a defect of unit size passes it. [mm per rad, mm per 1/m]"""
    result = np.zeros(len(readings.offset_mm))
    for load, model in models.items():
        mine = np.array([one is load for one in readings.looks.load], dtype=bool)
        if not mine.any():
            continue
        line = model.line
        at = readings.looks.position_m[mine]
        tension = np.interp(at, line.nodes.s_m, line.tension_n)
        peak = camber_peak_m if is_long else splice_peak_m_rad
        result[mine] = 1000 * peak(
            line.data.belt.bending_n_m2, tension, line.centring_per_metre_n_m2(at)
        )
    return result


def _most_mm(model: LateralModel, *, is_long: bool) -> float:
    """Largest offset on the loop while a defect of unit size passes. [mm per rad, mm per 1/m]"""
    line = model.line
    peak = camber_peak_m if is_long else splice_peak_m_rad
    centring = line.centring_per_metre_n_m2(line.nodes.s_m)
    return 1000 * float(peak(line.data.belt.bending_n_m2, line.tension_n, centring).max())


def said_of_fixed(readings: Readings, conveyor: ConveyorFacts) -> float:
    """Log probability of the remarks on persistence when the cause stays in place."""
    return sum(math.log(_said_without(one, conveyor)) for one in readings.sightings)


def said_of_erratic(readings: Readings, conveyor: ConveyorFacts) -> float:
    return sum(
        math.log(
            _said_without(one, conveyor)
            if one.persistence is None
            else _SAID_OF_ERRATIC[one.persistence]
        )
        for one in readings.sightings
    )


def _said_without(sighting: Sighting, conveyor: ConveyorFacts) -> float:
    table = _SAID_OFF if is_off(sighting, conveyor.clearance_mm) else _SAID_CENTRED
    return table[sighting.persistence]
