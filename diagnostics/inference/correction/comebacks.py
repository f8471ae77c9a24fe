"""How far the belt should come back, and where, when a suspicion was right and is mended.

At stations that were looked at: there the earlier reading is known to compare with.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diagnostics.inference.belt_lines import MOST_KEPT, models_of
from diagnostics.inference.evidence import ConveyorFacts, Sighting
from diagnostics.inference.profile import Profile
from diagnostics.inference.ranking import Entry
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.nodes import Floats
from plant.loop.parts import Station
from plant.loop.path import Loop

# Named are so many stations, this far from each other, where the belt comes back by what an eye
# can see; engineering judgement. [m, mm]
MOST_NAMED = 3
APART_M = 8.0
LEAST_MM = 10.0
# Written in steps, for grip is known to a factor of two. [mm]
_STEP_MM = 5.0


@dataclass(frozen=True)
class Comeback:
    """A station that was looked at, and by how much the belt stands nearer to the centre there."""

    sighting: Sighting
    mm: float


def comebacks_of(
    entry: Entry, conveyor: ConveyorFacts, profile: Profile | None
) -> tuple[Comeback, ...]:
    """What to expect once the cause of an entry is gone, the largest first.

    Parameters
    ----------
    entry : Entry
    conveyor : ConveyorFacts
    profile : Profile or None
        The readings it was found by.

    Returns
    -------
    tuple of Comeback
        Never more than the belt stood off there; empty for what has no place or no size.

    Notes
    -----
    Influence at the station times the expected amplitude; linear.
    """
    if profile is None or entry.column is None or entry.amplitude is None:
        return ()
    shape = profile.shapes_of([entry.column])[0][:, 0]
    return _seen(shape * entry.amplitude, conveyor, profile)


def shifts_at(
    stations: Sequence[Station],
    heading_deg: float,
    conveyor: ConveyorFacts,
    profile: Profile,
    sighting: Sighting,
) -> Floats:
    """Offset that each of several idlers adds at a sighting when it is turned, right positive.

    Parameters
    ----------
    stations : sequence of Station
        Idler sets of the conveyor.
    heading_deg : float
        Heading each of them imposes, right positive. [deg]
    conveyor : ConveyorFacts
    profile : Profile
    sighting : Sighting
        One of the profile's.

    Returns
    -------
    array, shape (stations,)
        [mm]
    """
    numbers = _roll_numbers(models_of(conveyor, [sighting.load])[sighting.load])
    row = profile.readings.sightings.index(sighting)
    chosen = [numbers[one.name] for one in stations]
    result: Floats = profile.by_roll_mm_deg[row, chosen] * heading_deg
    return result


@lru_cache(maxsize=MOST_KEPT)
def _roll_numbers(model: LateralModel) -> dict[str, int]:
    return {one.name: number for number, one in enumerate(model.line.nodes.rolls)}


def _seen(effect_mm: Floats, conveyor: ConveyorFacts, profile: Profile) -> tuple[Comeback, ...]:
    """Only where the belt was seen off to the side to which the cause drives it."""
    read = profile.readings
    if not read.sightings:
        return ()
    back = np.where(
        effect_mm * read.offset_mm > 0, np.minimum(np.abs(effect_mm), np.abs(read.offset_mm)), 0.0
    )
    return tuple(_apart(read.sightings, back, conveyor.loop))


def _apart(sightings: Sequence[Sighting], back_mm: Floats, loop: Loop) -> Iterable[Comeback]:
    chosen: list[Sighting] = []
    for number in np.argsort(-back_mm, kind="stable"):
        one, mm = sightings[int(number)], float(back_mm[number])
        if mm < LEAST_MM or len(chosen) == MOST_NAMED:
            return
        if all(loop.apart_m(one.position_m, two.position_m) >= APART_M for two in chosen):
            chosen.append(one)
            yield Comeback(one, mm)


def in_words(comebacks: Sequence[Comeback]) -> str:
    """'by about 45 mm at C12, loaded, and by about 20 mm at C20, loaded'; empty for none."""
    parts = [
        f"by about {_rounded(one.mm)} mm at {one.sighting.station}, {one.sighting.load}"
        for one in comebacks
    ]
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)


def _rounded(mm: float) -> int:
    return int(_STEP_MM * max(round(mm / _STEP_MM), 1))
