"""The table of one conveyor that a telephone takes along, to rank causes without signal.

It holds what the lateral model is assembled from and what the engine knows of faults, causes and
rules, not their effects: those are computed where they are asked for, as exactly as on the server.
"""

from typing import Any

import numpy as np

from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.causes import Knowledge
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.fault_families import FaultFamilies, fault_table
from diagnostics.inference.next_look.checks import ROUTE_STATIONS
from diagnostics.inference.pocket.belt import KINDS, RUNS, line_told, nodes_told
from diagnostics.inference.pocket.buffer import packed
from diagnostics.inference.pocket.constants import constants_told
from diagnostics.inference.pocket.families import families_told
from diagnostics.inference.pocket.onsets import onsets_told
from diagnostics.inference.pocket.trade import trade_told
from diagnostics.inference.vocabulary import LoadState
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.nodes import Floats
from plant.loop.walking import walking_stations

MOST_BYTES = 100_000


def pocket_table(conveyor: ConveyorFacts, knowledge: Knowledge) -> bytes:
    """Everything the ranking asks of one conveyor, in one buffer of at most `MOST_BYTES`.

    Parameters
    ----------
    conveyor : ConveyorFacts
    knowledge : Knowledge

    Raises
    ------
    ValueError
        More components, each for itself, than fit.

    Notes
    -----
    It holds for every place on the loop, looked at before or not.
    """
    models = models_of(conveyor, LoadState)
    nodes = next(iter(models.values())).line.nodes
    belt, arrays = nodes_told(conveyor.loop, nodes)
    families, peaks = families_told(
        nodes,
        {load: fault_table(model).candidates for load, model in models.items()},
        {load: _peaks_mm(conveyor, load, model) for load, model in models.items()},
    )
    lines = {}
    for load, model in models.items():
        lines[load.value], tension = line_told(model)
        arrays |= {f"{name}_{load}": values for name, values in tension.items()}
    header = {
        **_loop_told(conveyor),
        **belt,
        **trade_told(conveyor, knowledge, [one["name"] for one in families]),
        "families": families,
        "loads": lines,
        "onsets": onsets_told(conveyor),
        "constants": constants_told(conveyor),
    }
    content = packed(header, {**arrays, **peaks})
    if len(content) > MOST_BYTES:
        raise ValueError(
            f"a table takes at most {MOST_BYTES} bytes; that of {conveyor.tag} takes {len(content)}"
        )
    return content


def _peaks_mm(conveyor: ConveyorFacts, load: LoadState, model: LateralModel) -> Floats:
    return FaultFamilies(conveyor, {load: model}, np.zeros(1), (load,)).peaks_mm


def _loop_told(conveyor: ConveyorFacts) -> dict[str, Any]:
    """The loop, its runs and kinds, and what stands on it besides idlers."""
    loop = conveyor.loop
    return {
        "tag": conveyor.tag,
        "length_m": loop.length_m,
        "head_m": loop.head_m,
        "clearance_mm": conveyor.clearance_mm,
        "runs": [one.value for one in RUNS],
        "kinds": [one.value for one in KINDS],
        "named": [
            [station.name, station.run.value, station.position_m]
            for part in loop.parts
            if not part.is_idler
            for station in part.stations()
        ],
        "route": [
            [one.name, one.run.value, one.position_m]
            for one in walking_stations(loop, about=ROUTE_STATIONS)
        ],
    }
