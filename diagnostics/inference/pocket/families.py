"""Candidate faults by what they are made of, so that a few words stand for thousands of them.

Read off the candidates of the engine, in their order, never made anew: names, sizes and places
agree with what the server ranks.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np

from diagnostics.inference.pocket.belt import RUNS
from diagnostics.inference.pocket.curves import knots
from diagnostics.inference.vocabulary import LoadState
from diagnostics.mechanics.candidates import Candidates
from diagnostics.mechanics.nodes import Floats, Nodes

_PEAK_SHARE = 1e-5


def families_told(
    nodes: Nodes,
    candidates: Mapping[LoadState, tuple[Candidates, ...]],
    peaks_mm: Mapping[LoadState, Floats],
) -> tuple[list[dict[str, Any]], dict[str, np.ndarray]]:
    """Header of the families, in the order of the engine's, and arrays of their largest effects.

    Parameters
    ----------
    nodes : Nodes
    candidates : mapping of LoadState to tuple of Candidates
        Every family in each load state.
    peaks_mm : mapping of LoadState to array
        Largest effect of every candidate, family by family. [mm per unit]

    Returns
    -------
    header : list of dict
    arrays : dict
        `peak_at`: knots of the largest effects, family by family; `peak`: their values, loads by
        knots.
    """
    header: list[dict[str, Any]] = []
    at: list[np.ndarray] = []
    peaks: list[Floats] = []
    start, bows = 0, 0
    for alike in zip(*candidates.values(), strict=True):
        one = alike[0]
        end = start + len(one.position_m)
        own = np.array([peak[start:end] for peak in peaks_mm.values()])
        kept = _peak_knots(own)
        bows = bows + 1 if one.name.startswith("bow") else 0
        header.append(
            {
                "name": one.name,
                "spread": one.spread,
                "weight": one.weight,
                "count": end - start,
                "peaks": len(kept),
                **_told(alike, nodes, bows),
            }
        )
        at.append(kept)
        peaks.append(own[:, kept])
        start = end
    return header, {
        "peak_at": np.concatenate(at).astype("<u2"),
        "peak": np.concatenate(peaks, axis=1).astype("<f4"),
    }


def _peak_knots(own: Floats) -> np.ndarray:
    x = np.arange(own.shape[1], dtype=float)
    kept = [knots(x, one, _PEAK_SHARE * max(float(one.max()), _PEAK_SHARE)) for one in own]
    return np.unique(np.concatenate(kept))


def _told(alike: tuple[Candidates, ...], nodes: Nodes, bows: int) -> dict[str, Any]:
    """What the candidates of one family are made of; `bows` counts families of bows in a row."""
    one = alike[0]
    kind, _, run = one.name.partition(" ")
    if kind == "idlers":
        return {"is": "group", "run": _number(run), **_windows(one, nodes, run)}
    if kind == "stuck":
        return {"is": "stuck", "run": _number(run)}
    if kind == "bow":
        return {
            "is": "bow",
            "run": _number(run),
            "half": float(one.to_m[0] - one.position_m[0]),
            "from": float(one.position_m[0]),
            "to": float(one.position_m[-1]),
            # Of each length first those whose idlers turn with the bow, then those left square.
            "square": bows % 2 == 0,
        }
    place = {"at": float(one.position_m[0]), "component": one.components[0]}
    if kind == "loading":
        first = int(np.searchsorted(nodes.roll_at_m, one.position_m[0]))
        return {"is": "load", "from": first, **place}
    return {"is": "point", "forces": _forces(alike), **place}


def _number(run: str) -> int:
    return RUNS.index(next(one for one in RUNS if one.value == run))


def _windows(one: Candidates, nodes: Nodes, run: str) -> dict[str, int]:
    """Sets in a group, and the number of the first set of the first and of the last group."""
    on_run = nodes.rolls_on(RUNS[_number(run)])
    rows = nodes.roll_rows[on_run]
    starts = one.matrix.indptr
    size = int(starts[1] - starts[0])
    first, last = (
        int(np.searchsorted(rows, one.matrix.indices[start : start + size].min()))
        for start in (starts[0], starts[-2])
    )
    return {"size": size, "from": first, "to": last}


def _forces(alike: tuple[Candidates, ...]) -> list[list[float]]:
    """[row of the lateral model, force in each load state] of a component's one candidate."""
    rows = sorted({int(row) for one in alike for row in one.matrix.indices})
    dense = [one.matrix.toarray()[0] for one in alike]
    return [[row, *(float(values[row]) for values in dense)] for row in rows]
