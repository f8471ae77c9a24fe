"""How a bowed structure moves the belt, which is straight under its tension and cuts the corner."""

from typing import TYPE_CHECKING

import numpy as np

from diagnostics.inference.family import Family
from diagnostics.inference.reach import Floats, LoopResponse
from plant.loop.vocabulary import Run

if TYPE_CHECKING:
    from diagnostics.inference.templates import Templates

# Half lengths of a bow and its usual depth; engineering judgement, to be calibrated.
BOW_HALF_LENGTHS_M = (8.0, 16.0, 24.0)
BOW_MM = 80.0
# More places than this on a long belt say nothing more at the distance of the readings.
MOST_PLACES = 250
# Kept free at the ends of a run, where pulleys hold the belt. [m]
_END_M = 2.0


def bows(templates: "Templates", run: Run) -> list[Family]:
    """Bows along one run, two families a length: idlers square to the bow, or to the old line.

    Notes
    -----
    Bow ``h = cos^2(pi x / 2)``, x from -1 to 1: the belt feels a side force ``T h''``; idlers left
    square to the old line give a heading ``h'`` as well.
    """
    loop = templates.loop
    start, end = (0.0, loop.head_m) if run is Run.CARRYING else (loop.head_m, loop.tail_m)
    mine = np.array(
        [i for i, (station, _) in enumerate(templates.rolls) if station.run is run], dtype=int
    )
    found: list[Family] = []
    for half in BOW_HALF_LENGTHS_M:
        room = end - start - 2 * half
        if room >= 2 * _END_M and len(mine):
            step = max(half / 3, room / MOST_PLACES)
            centres = np.arange(start + half + _END_M, end - half - _END_M + 1e-9, step)
            found += _of_length(templates, run, mine, half, centres)
    return found


def _of_length(
    templates: "Templates", run: Run, mine: np.ndarray, half: float, centres: Floats
) -> list[Family]:
    pull = templates.stacked(lambda one, seen: np.full((len(seen), 1), _pull_m(one, run)))[:, 0]
    place_m = templates.place_m[mine]
    square, old_line, names = [], [], []
    for centre in centres:
        first, last = np.searchsorted(place_m, [centre - half, centre + half])
        inside = mine[first:last]
        x = (templates.place_m[inside] - centre) / half
        heading = templates.by_roll_m_rad[:, inside]
        cut = pull * (heading @ (np.pi**2 / (2 * half**2) * np.cos(np.pi * x)))
        square.append(cut)
        old_line.append(cut - heading @ (np.pi / (2 * half) * np.sin(np.pi * x)))
        nearest = mine[int(np.argmin(np.abs(place_m - centre)))]
        names.append(templates.rolls[nearest][0].name)
    return [
        Family(
            f"bow {run}",
            np.array(columns).T,
            BOW_MM,
            "mm",
            centres,
            centres - half,
            centres + half,
            tuple(names),
        )
        for columns in (square, old_line)
    ]


def _pull_m(one: LoopResponse, run: Run) -> float:
    """T / c: side force of a curved belt as a heading. [m]"""
    steering = one.carrying if run is Run.CARRYING else one.returning
    return steering.tension_n / steering.grip_n_rad_m
