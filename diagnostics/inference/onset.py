"""Where the belt is first off centre: the walker's rule, exactly as the contract words it."""

from collections.abc import Iterable
from dataclasses import dataclass

from diagnostics.inference.answer import Onset
from diagnostics.inference.evidence import ConveyorFacts, Sighting
from diagnostics.inference.vocabulary import CENTRED_SHARE, LoadState

# Offsets are compared at a thousandth of a millimetre, so that 0.15 of the clearance counts as
# off whatever binary fractions make of it. [mm]
_HAIR_MM = 1e-3


@dataclass(frozen=True)
class _Stretch:
    first: Sighting
    peak_mm: float


def is_off(sighting: Sighting, clearance_mm: float) -> bool:
    """Off centre counts from 0.15 of the clearance on."""
    offset_mm = abs(sighting.offset_or_middle_mm(clearance_mm))
    return offset_mm >= CENTRED_SHARE * clearance_mm - _HAIR_MM


def find_onset(conveyor: ConveyorFacts, sightings: Iterable[Sighting]) -> Onset | None:
    """Where the stretch with the largest peak begins; loaded readings decide before empty ones.

    Parameters
    ----------
    conveyor : ConveyorFacts
    sightings : iterable of Sighting
        In any order; those of a belt running against carrying travel are left out.

    Returns
    -------
    Onset or None
        None when nothing is off centre or no reading is centred, in either load state.

    Notes
    -----
    From each centred reading the loop is followed in the direction of travel, over its seam too;
    the next off-centre reading begins a stretch, which lasts to the next centred one. Of two
    equal peaks the one nearer the tail's leaving tangent counts.
    """
    forward = [one for one in sightings if not one.is_running_backwards]
    for load in (LoadState.LOADED, LoadState.EMPTY):
        stretches = _stretches(conveyor, [one for one in forward if one.load is load])
        if stretches:
            first = max(stretches, key=lambda one: one.peak_mm).first
            return Onset(first.station, first.run, first.position_m)
    return None


def _stretches(conveyor: ConveyorFacts, sightings: list[Sighting]) -> list[_Stretch]:
    """Stretches off centre by the position of their beginning."""
    clearance_mm = conveyor.clearance_mm
    ordered = sorted(sightings, key=lambda one: (one.position_m, one.station))
    off = [is_off(one, clearance_mm) for one in ordered]
    count = len(ordered)
    found = []
    for index in range(count):
        # The reading before the first is the last: the loop is closed.
        if not off[index] or off[index - 1]:
            continue
        peak_mm, place = 0.0, index
        while off[place % count]:
            peak_mm = max(peak_mm, abs(ordered[place % count].offset_or_middle_mm(clearance_mm)))
            place += 1
        found.append(_Stretch(ordered[index], peak_mm))
    return found
