"""Walks over a belt that runs exactly as the lateral model says, for tests of what follows."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.evidence import ConveyorFacts, Sighting
from diagnostics.inference.fault_families import FaultFamilies
from diagnostics.inference.vocabulary import LoadState, Persistence
from diagnostics.mechanics.influence import Family
from plant.loop.parts import Station
from plant.loop.walking import walking_stations


@dataclass(frozen=True)
class Fault:
    """A candidate fault by family and place; `amplitude` in the family's unit, + drives right."""

    family: str
    position_m: float
    amplitude: float


def families_at(
    facts: ConveyorFacts, positions_m: Sequence[float], load: LoadState
) -> list[Family]:
    loads = (load,) * len(positions_m)
    return FaultFamilies(facts, models_of(facts, {load}), np.array(positions_m), loads).families()


def offsets_mm(
    facts: ConveyorFacts,
    faults: Iterable[Fault],
    positions_m: Sequence[float],
    load: LoadState = LoadState.LOADED,
) -> np.ndarray:
    """Offset at places with all the faults, by superposition."""
    families = families_at(facts, positions_m, load)
    total = np.zeros(len(positions_m))
    for fault in faults:
        one = next(one for one in families if one.name == fault.family)
        nearest = int(np.argmin(np.abs(one.position_m - fault.position_m)))
        total += one.influence_mm[:, nearest] * fault.amplitude
    return total


def walk_with(
    facts: ConveyorFacts,
    *faults: Fault,
    load: LoadState = LoadState.LOADED,
    about: int = 45,
    stations: Sequence[Station] | None = None,
    said: Persistence | None = Persistence.STEADY,
) -> tuple[Sighting, ...]:
    """What a faultless eye sees on a walk."""
    route = stations or walking_stations(facts.loop, about=about)
    seen = offsets_mm(facts, faults, [one.position_m for one in route], load)
    return tuple(
        Sighting(one.name, one.run, one.position_m, load, float(offset), persistence=said)
        for one, offset in zip(route, seen, strict=True)
    )
