"""One conveyor's nodes, rolls, pulleys and tension: what its lateral model is assembled from.

The telephone assembles and solves the model by itself (ranking/influence.js), so that the table
holds for every place on the loop, looked at before or not.
"""

from typing import Any

import numpy as np

from diagnostics.inference.pocket.curves import knots
from diagnostics.mechanics.lateral import LEAST_LEFT, SELF_ALIGNING_RAD_PER_M, LateralModel
from diagnostics.mechanics.line import SELF_ALIGNING_WEIGHT
from diagnostics.mechanics.moving import camber_peak_m, splice_peak_m_rad
from diagnostics.mechanics.nodes import LONGEST_SHARE_M, SHORTEST_SHARE_M, Floats, Nodes
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind, Run

KINDS = tuple(ComponentKind)
RUNS = tuple(Run)
_MM_PER_M = 1000.0
# Places are told to within this [m], tension to within this share of its largest.
_PLACE_M = 1e-6
_TENSION_SHARE = 1e-7
# Knots count in 16 bits.
_MOST_NODES = 65_000


def nodes_told(loop: Loop, nodes: Nodes) -> tuple[dict[str, Any], dict[str, np.ndarray]]:
    """Header and arrays of what both load states share: places, rolls by name and kind, pulleys.

    Raises
    ------
    ValueError
        More nodes than the table can count.
    """
    count, rolls = len(nodes.s_m), np.array([one.node for one in nodes.rolls], dtype=float)
    if count > _MOST_NODES:
        raise ValueError(f"a table counts at most {_MOST_NODES} nodes of a belt, got {count}")
    header = {
        "nodes": count,
        "rolls": {
            "count": len(rolls),
            "names": _names(loop, nodes),
            "ends_m": [0.0, loop.tail_m],
            "share_m": [SHORTEST_SHARE_M, LONGEST_SHARE_M],
            "aligning": KINDS.index(ComponentKind.SELF_ALIGNING_IDLER),
            "aligning_weight": SELF_ALIGNING_WEIGHT,
            "aligning_rad_m": SELF_ALIGNING_RAD_PER_M,
        },
        "pulleys": [[one.node_in, one.node_out] for one in nodes.pulleys],
        "least_left": LEAST_LEFT,
    }
    place_at = knots(np.arange(count, dtype=float), nodes.s_m, _PLACE_M)
    roll_at = knots(np.arange(len(rolls), dtype=float), rolls, 0.1)
    return header, {
        "node_at": place_at.astype("<u2"),
        "node_m": nodes.s_m[place_at].astype("<f8"),
        "roll_at": roll_at.astype("<u2"),
        "roll_node": rolls[roll_at].astype("<u2"),
    }


def _names(loop: Loop, nodes: Nodes) -> list[list[Any]]:
    """Rolls that are numbered on: [prefix, first number or 0, how many, kind, run]."""
    known = {
        station.name: (part.prefix, part.first_number + number if part.is_numbered else 0)
        for part in loop.parts
        if part.is_idler
        for number, station in enumerate(part.stations())
    }
    found: list[list[Any]] = []
    for roll in nodes.rolls:
        prefix, number = known[roll.name]
        kind, run = KINDS.index(roll.kind), RUNS.index(roll.run)
        last = found[-1] if found else None
        if last and number and last == [prefix, number - last[2], last[2], kind, run]:
            last[2] += 1
        else:
            found.append([prefix, number, 1, kind, run])
    return found


def line_told(model: LateralModel) -> tuple[dict[str, Any], dict[str, np.ndarray]]:
    """Stiffness, grip and centring per metre of belt, and tension, in one load state."""
    line, nodes = model.line, model.line.nodes
    higher = np.where(nodes.roll_is_self_aligning, SELF_ALIGNING_WEIGHT, 1.0)
    own, material = line.centring_n_m
    spacing = nodes.roll_spacing_m
    is_loaded = nodes.roll_is_carrying & (nodes.roll_at_m >= line.load_from_m)
    kinds = [nodes.roll_is_carrying & ~is_loaded, is_loaded, ~nodes.roll_is_carrying]
    bending, tension = line.data.belt.bending_n_m2, line.tension_n
    centring = line.centring_per_metre_n_m2(nodes.s_m)
    kept = knots(nodes.s_m, tension, _TENSION_SHARE * float(tension.max()))
    header = {
        "bending": bending,
        "grip": _per_metre(line.grip_n_rad / higher / spacing, kinds),
        "own": _per_metre(own / spacing, kinds),
        "material": _per_metre(material / spacing, kinds),
        "loaded_from": int(np.argmax(is_loaded)) if is_loaded.any() else len(nodes.rolls),
        "most_mm": {
            "splice": _MM_PER_M * float(splice_peak_m_rad(bending, tension, centring).max()),
            "camber": _MM_PER_M * float(camber_peak_m(bending, tension, centring).max()),
        },
    }
    return header, {
        "tension_at": kept.astype("<u2"),
        "tension": tension[kept].astype("<f8"),
    }


def _per_metre(values: Floats, kinds: list[np.ndarray]) -> list[float]:
    """Of carrying rolls ahead of the load, under the load, and of return rolls."""
    return [float(values[one][0]) if one.any() else 0.0 for one in kinds]
