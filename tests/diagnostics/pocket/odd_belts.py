"""Belts that few plants have, and walks over them that saw anything."""

from dataclasses import replace

import numpy as np

from diagnostics.inference.evidence import ConveyorFacts, Evidence, Sighting
from diagnostics.inference.vocabulary import LoadState
from plant.loop.parts import Part
from plant.loop.path import build_loop
from plant.loop.vocabulary import ComponentKind, Run
from plant.loop.walking import walking_stations
from tests.diagnostics import belts
from tests.diagnostics.belts import GALLERY

K = ComponentKind
_MORE = (
    Part("CLEAN", K.BELT_CLEANER, Run.RETURN, 261.9),
    Part("SNUB", K.SNUB_PULLEY, Run.RETURN, 262.3, diameter_mm=400, wrap_deg=20, in_deg=180),
    Part("PLOUGH", K.PLOUGH, Run.RETURN, 520.0),
    Part("SECTION", K.STRUCTURE_SECTION, Run.CARRYING, 50.0, length_m=20.0),
)
_SECOND_LOAD = (
    Part("LOAD2", K.LOAD_POINT, Run.CARRYING, 100.0, length_m=4.0),
    Part("SKIRT", K.SKIRTBOARD, Run.CARRYING, 101.0, length_m=4.0),
)


def odd_belts() -> dict[str, ConveyorFacts]:
    usual = belts.conveyor(GALLERY)
    parts = usual.loop.parts
    return {
        "no idlers": _with(usual, [one for one in parts if not one.is_idler]),
        "return idlers only": _with(
            usual, [one for one in parts if not (one.is_idler and one.run is Run.CARRYING)]
        ),
        "no load point": _with(usual, [one for one in parts if one.kind is not K.LOAD_POINT]),
        "two load points": _with(usual, [*parts, *_SECOND_LOAD]),
        "what rubs": _with(usual, [*parts, *_MORE]),
        "no splices": replace(usual, belt=replace(usual.belt, splices=())),
        "flat, figures missing": replace(
            usual, trough_angle_deg=0.0, take_up_tension_kn=None, capacity_tph=None
        ),
        "hardly any tension": replace(usual, take_up_tension_kn=0.5),
    }


def _with(usual: ConveyorFacts, parts: list[Part]) -> ConveyorFacts:
    loop = build_loop(parts)
    return replace(usual, loop=loop, belt=replace(usual.belt, length_m=loop.length_m))


def random_walks(facts: ConveyorFacts) -> list[Evidence]:
    """Loaded, empty, both; every other look off by chance."""
    rng = np.random.default_rng(0)
    states = [(LoadState.LOADED,), (LoadState.EMPTY,), tuple(LoadState)]
    return [
        belts.evidence(
            facts,
            tuple(
                Sighting(one.name, one.run, one.position_m, load, offset_mm=_offset_mm(rng))
                for load in loads
                for one in walking_stations(facts.loop)
            ),
        )
        for loads in states
    ]


def _offset_mm(rng: np.random.Generator) -> float:
    return float(rng.normal(0, 40)) if rng.random() < 0.5 else 0.0
