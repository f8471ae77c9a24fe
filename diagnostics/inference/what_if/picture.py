"""The belt's path round the loop under a fault, and what a person would see of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnostics.inference.vocabulary import CENTRED_SHARE, Degree, LoadState
from diagnostics.mechanics.nodes import Floats
from plant.loop.parts import Station
from plant.loop.path import Loop
from plant.loop.vocabulary import Side

# The reach of a fault: as far as this share of its largest offset is left.
REACH_SHARE = 0.5
# Two fine for offsets; keeps a rounding from deciding where a belt is off. [mm]
_HAIR_MM = 1e-3


@dataclass(frozen=True)
class Stretch:
    """A stretch of the loop in the direction of travel, over its seam perhaps. [m]"""

    from_m: float
    to_m: float


@dataclass(frozen=True)
class SeenAt:
    """What a person would see at one station.

    Attributes
    ----------
    station : Station
    offset_mm : float
        Cut at the clearance, positive right. [mm]
    degree : Degree
    side : Side or None
        None when centred.
    """

    station: Station
    offset_mm: float
    degree: Degree
    side: Side | None


@dataclass(frozen=True)
class Picture:
    """One load state.

    Attributes
    ----------
    load : LoadState
    loop : Loop
    clearance_mm : float
    position_m : array, shape (n,)
        Increasing loop positions: every node, about a metre apart. [m]
    computed_mm : array, shape (n,)
        As the model says, edges or not; of what travels, the largest offset as it passes. [mm]
    place_m : float
        Where the fault stands, or where what travels is just now. [m]
    passing_mm : array or None, shape (n,)
        Of what travels: the belt while the defect is at `place_m`. [mm]
    """

    load: LoadState
    loop: Loop
    clearance_mm: float
    position_m: Floats
    computed_mm: Floats
    place_m: float
    passing_mm: Floats | None = None

    @cached_property
    def offset_mm(self) -> Floats:
        """Cut at the clearance, where the belt would touch."""
        return self._cut(self.computed_mm)

    @cached_property
    def hits_clearance(self) -> bool:
        return bool(np.max(np.abs(self.computed_mm)) > self.clearance_mm + _HAIR_MM)

    @cached_property
    def _peak(self) -> int:
        return int(np.argmax(np.abs(self.computed_mm)))

    @property
    def computed_peak_mm(self) -> float:
        """Largest offset as the model says, with its sign. [mm]"""
        return float(self.computed_mm[self._peak])

    @property
    def peak_mm(self) -> float:
        """Largest offset, cut at the clearance, with its sign. [mm]"""
        return float(self.offset_mm[self._peak])

    @property
    def peak_m(self) -> float:
        """Where the offset is largest. [m]"""
        return float(self.position_m[self._peak])

    @property
    def _least_off_mm(self) -> float:
        return CENTRED_SHARE * self.clearance_mm - _HAIR_MM

    @property
    def is_off_somewhere(self) -> bool:
        return abs(self.computed_peak_mm) >= self._least_off_mm

    @cached_property
    def off_centre(self) -> Stretch | None:
        """From where the belt is first off centre, up to where it is back, round its largest.

        None when it is nowhere off centre, or everywhere: then it has no beginning. What travels
        is off wherever it passes and has none either.
        """
        if self.passing_mm is not None:
            return None
        return self._round_peak(self.computed_mm, self._least_off_mm)

    @cached_property
    def reach(self) -> Stretch | None:
        """Where half of the largest offset is left round it; None without one, or all round."""
        shape = self.computed_mm if self.passing_mm is None else self.passing_mm
        largest = float(np.max(np.abs(shape)))
        return self._round_peak(shape, REACH_SHARE * largest) if largest > _HAIR_MM else None

    @property
    def reach_upstream_m(self) -> float | None:
        """How far before the place half of the largest offset is left; None all round the loop."""
        reach = self.reach
        if reach is None:
            return None
        if self._is_behind(reach):
            return 0.0
        return self.loop.ahead_m(reach.from_m, self.place_m)

    @property
    def reach_downstream_m(self) -> float | None:
        """How far behind the place half of the largest offset is left; None all round the loop."""
        reach = self.reach
        if reach is None:
            return None
        if self._holds(reach) or self._is_behind(reach):
            return self.loop.ahead_m(self.place_m, reach.to_m)
        return 0.0

    def seen_at(self, stations: Sequence[Station]) -> tuple[SeenAt, ...]:
        """What a person would see at each station."""
        offsets = self.at(np.array([one.position_m for one in stations]))
        return tuple(
            self._seen(station, float(offset))
            for station, offset in zip(stations, offsets, strict=True)
        )

    def at(self, positions_m: Floats) -> Floats:
        """Offset at any places, cut at the clearance. [mm]"""
        return self._cut(np.interp(positions_m, self.position_m, self.computed_mm))

    def _seen(self, station: Station, offset_mm: float) -> SeenAt:
        degree = Degree.of(offset_mm / self.clearance_mm)
        side = None if degree is Degree.CENTRED else Side.of(offset_mm)
        return SeenAt(station, offset_mm, degree, side)

    def _cut(self, values: Floats) -> Floats:
        result: Floats = np.clip(values, -self.clearance_mm, self.clearance_mm)
        return result

    def _round_peak(self, values: Floats, least_mm: float) -> Stretch | None:
        """The stretch round the largest value, on its side, in which so much is left."""
        peak = int(np.argmax(np.abs(values)))
        kept = values * np.sign(values[peak]) >= least_mm
        if not kept[peak] or kept.all():
            return None
        outside = np.flatnonzero(~kept)
        count = len(values)
        before = (peak - outside) % count
        behind = (outside - peak) % count
        first = (peak - int(before.min()) + 1) % count
        last = (peak + int(behind.min()) - 1) % count
        return Stretch(float(self.position_m[first]), float(self.position_m[last]))

    def _holds(self, reach: Stretch) -> bool:
        whole = self.loop.ahead_m(reach.from_m, reach.to_m)
        return self.loop.ahead_m(reach.from_m, self.place_m) <= whole + _HAIR_MM

    def _is_behind(self, reach: Stretch) -> bool:
        """Whether all of it lies downstream of the place, rather than upstream."""
        if self._holds(reach):
            return False
        to_it = self.loop.ahead_m(self.place_m, reach.from_m)
        return to_it <= self.loop.ahead_m(reach.to_m, self.place_m)


def picture_places_m(s_m: Floats, loop: Loop) -> Floats:
    """Where a picture is computed: at the nodes and every station that stands between them. [m]"""
    named = np.array([one.position_m for one in loop.stations])
    at = np.searchsorted(s_m, named)
    before = np.abs(named - s_m[np.maximum(at - 1, 0)])
    behind = np.abs(named - s_m[np.minimum(at, len(s_m) - 1)])
    # Positions are kept to the millimetre; nearer ones are the same place.
    merged: Floats = np.union1d(s_m, named[np.minimum(before, behind) > 1e-3])
    return merged
