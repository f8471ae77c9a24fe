"""Walks over a belt that runs exactly as the lateral model says, for tests of what follows."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.evidence import ConveyorFacts, Sighting
from diagnostics.inference.fault_families import FaultFamilies
from diagnostics.inference.ranking import Entry
from diagnostics.inference.vocabulary import LoadState, Persistence
from diagnostics.mechanics.influence import Family
from plant.loop.parts import Station
from plant.loop.vocabulary import Side
from plant.loop.walking import walking_stations
from tests.diagnostics import belts


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


def entry(cause: str, position_m: float, side: Side, **changes) -> Entry:
    """A suspicion of one cause at one place."""
    found = belts.knowledge().causes[cause]
    plain = Entry(found, 0.5, 1.0, position_m=position_m, lower_m=position_m, upper_m=position_m)
    return replace(plain, side=side, **changes)


def first_of(answer, cause: str):
    return next(one for one in answer.ranked if one.cause == cause)
