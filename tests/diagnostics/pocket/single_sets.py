"""A register that knows every idler set by itself, each a little off where it should stand."""

from dataclasses import replace

import numpy as np

from diagnostics.inference.evidence import ConveyorFacts
from plant.loop.parts import Part
from plant.loop.path import build_loop


def singly_registered(facts: ConveyorFacts) -> ConveyorFacts:
    """The same belt, every idler set a component of its own."""
    rng = np.random.default_rng(7)
    parts: list[Part] = []
    for part in facts.loop.parts:
        if not part.is_idler:
            parts.append(part)
            continue
        for number, station in enumerate(part.stations()):
            at_m = station.position_m + float(rng.uniform(-0.1, 0.1))
            name = f"Set {part.name} {number}"
            parts.append(Part(name, part.kind, part.run, at_m, part.spacing_m))
    return replace(facts, loop=build_loop(parts))
