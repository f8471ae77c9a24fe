"""Sightings as numbers for the profile: signed offsets with their uncertainty."""

from dataclasses import dataclass

import numpy as np

from diagnostics.inference.evidence import Evidence, Sighting
from diagnostics.inference.vocabulary import CENTRED_SHARE, Degree, LoadState
from diagnostics.mechanics.nodes import Floats

# An observer's reading of an offset; engineering judgement, to be calibrated. [mm]
READING_MM = 18.0
# Some see better than others, and nobody knows who looked: averaged over. [mm]
READINGS_MM = (12.0, 18.0, 25.0)
# Bounds of the degrees as shares of the clearance.
_BOUNDS = {
    Degree.CENTRED: (-CENTRED_SHARE, CENTRED_SHARE),
    Degree.SLIGHT: (CENTRED_SHARE, 0.4),
    Degree.HALF: (0.4, 0.8),
    Degree.HARD_OVER: (0.8, 1.1),
}


@dataclass(frozen=True)
class Looks:
    """Places that were looked at, each in its load state. [m]"""

    position_m: Floats
    load: tuple[LoadState, ...]


@dataclass(frozen=True)
class Readings:
    """Forward sightings by position; without any, one look that tells nothing.

    Attributes
    ----------
    sightings : tuple of Sighting
    looks : Looks
        Where and in which load state, in step with `sightings`.
    offset_mm : array, shape (n,)
        Signed offset. [mm]
    rounding_mm2 : array, shape (n,)
        Variance within the noted degree, the error of the eye apart. [mm2]
    """

    sightings: tuple[Sighting, ...]
    looks: Looks
    offset_mm: Floats
    rounding_mm2: Floats

    @property
    def variance_mm2(self) -> Floats:
        """Within the noted degree, and the usual error of the eye. [mm2]"""
        variance: Floats = self.rounding_mm2 + READING_MM**2
        return variance


def readings_of(evidence: Evidence) -> Readings:
    """What the profile is fitted to: sightings of the belt running with carrying travel."""
    clearance = evidence.conveyor.clearance_mm
    # A fixed order, so that the order of the walk leaves no trace in the last digits.
    kept = tuple(
        sorted(
            (one for one in evidence.sightings if not one.is_running_backwards),
            key=lambda one: (
                one.position_m,
                one.station,
                one.load,
                one.offset_or_middle_mm(clearance),
                one.persistence or "",
            ),
        )
    )
    if not kept:
        return _NOTHING_SEEN
    return Readings(
        sightings=kept,
        looks=Looks(
            position_m=np.array([one.position_m for one in kept]),
            load=tuple(one.load for one in kept),
        ),
        offset_mm=np.array([one.offset_or_middle_mm(clearance) for one in kept]),
        rounding_mm2=np.array([_rounding_mm2(one, clearance) for one in kept]),
    )


# One look that could not tell anything: every cause keeps its prior.
_NOTHING_SEEN = Readings(
    sightings=(),
    looks=Looks(position_m=np.array([0.0]), load=(LoadState.EMPTY,)),
    offset_mm=np.array([0.0]),
    rounding_mm2=np.array([1e12]),
)


def _rounding_mm2(sighting: Sighting, clearance_mm: float) -> float:
    if sighting.offset_mm is not None or sighting.degree is None:
        return 0.0
    low, high = _BOUNDS[sighting.degree]
    # Uniform within the degree.
    return ((high - low) * clearance_mm) ** 2 / 12
