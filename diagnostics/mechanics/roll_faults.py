"""Rolls that steer: groups out of square, stuck self-aligning sets, something rubbing; and load."""

from collections.abc import Sequence

import numpy as np

from diagnostics.mechanics.influence import Family, Influences, at_component
from diagnostics.mechanics.line import Line
from diagnostics.mechanics.nodes import Floats, Roll
from plant.loop.parts import Part
from plant.loop.vocabulary import ComponentKind, Run

# Places a family keeps on long belts; more say nothing more at the distance of readings.
MOST_PLACES = 250
# Neighbouring sets out of square together and the usual size of it [sets, deg]; engineering
# judgement, to be calibrated.
CARRYING_GROUPS = ((2, 1.5), (5, 1.2), (8, 1.0))
RETURN_GROUPS = ((1, 2.5), (3, 1.5))
STUCK_DEG = 3.0
LOAD_OFF_SHARE_OF_WIDTH = 0.08
# What a cleaner or seal that presses on one edge turns the belt by; engineering judgement.
RUB_DEG_M = 1.5


def roll_groups(influences: Influences, run: Run) -> list[Family]:
    """Every window of neighbouring sets of a run, as if all were turned alike."""
    index = [i for i, roll in enumerate(influences.line.nodes.rolls) if roll.run is run]
    rolls = [influences.line.nodes.rolls[i] for i in index]
    zero = np.zeros((1, influences.adjoint.shape[1]))
    sums = np.vstack([zero, np.cumsum(influences.rolls_mm_deg[index], axis=0)])
    groups = CARRYING_GROUPS if run is Run.CARRYING else RETURN_GROUPS
    return [
        _window(f"idlers {run}", sums, rolls, size, spread)
        for size, spread in groups
        if len(rolls) >= size
    ]


def _window(name: str, sums: Floats, rolls: Sequence[Roll], size: int, spread: float) -> Family:
    starts = thinned(len(rolls) - size + 1)
    first = np.array([rolls[start].position_m for start in starts])
    last = np.array([rolls[start + size - 1].position_m for start in starts])
    middles = tuple(rolls[start + (size - 1) // 2].name for start in starts)
    influence = (sums[starts + size] - sums[starts]).T
    return Family(name, influence, spread, "deg", (first + last) / 2, first, last, middles)


def stuck_sets(influences: Influences, run: Run) -> list[Family]:
    """Each self-aligning set of a run as if frozen at an angle."""
    index = [
        i
        for i, roll in enumerate(influences.line.nodes.rolls)
        if roll.run is run and roll.is_self_aligning
    ]
    if not index:
        return []
    rolls = [influences.line.nodes.rolls[i] for i in index]
    at = np.array([roll.position_m for roll in rolls])
    names = tuple(roll.name for roll in rolls)
    influence = influences.rolls_mm_deg[index].T
    return [Family(f"stuck {run}", influence, STUCK_DEG, "deg", at, at, at, names)]


def off_centre_loads(influences: Influences) -> list[Family]:
    """One millimetre of load to the left, from each load point to the head: q = -k_load e.

    The belt of an empty run is not moved, so that its readings speak against the load.
    """
    line = influences.line
    loads = [(p.name, p.first_m) for p in line.data.loop.of_kind(ComponentKind.LOAD_POINT)]
    pressing = influences.per_reading([m.line.centring_n_m[1] for m in influences.models])
    at = np.array([roll.position_m for roll in line.nodes.rolls])
    usual_mm = LOAD_OFF_SHARE_OF_WIDTH * line.data.belt.width_m * 1000
    found = []
    for name, load_m in loads or [("", 0.0)]:
        pushed = influences.adjoint[influences.roll_rows] * pressing * (at >= load_m)[:, None]
        found.append(at_component("loading", name, load_m, pushed.sum(axis=0), usual_mm, "mm"))
    return found


def rubbing(influences: Influences, part: Part) -> Family:
    """Something presses on one edge: the belt is turned there, as by one roll of grip c."""
    nearest = rubbed_roll(influences.line, part)
    per_metre = influences.line.nodes.rolls[nearest].spacing_m
    column = influences.rolls_mm_deg[nearest] / per_metre
    return at_component(f"rub {part.name}", part.name, part.first_m, column, RUB_DEG_M, "")


def rubbed_roll(line: Line, part: Part) -> int:
    """Number of the roll nearest to where a part rubs; a pulley where the belt leaves it."""
    loop = line.data.loop
    at_m = loop.wrap(part.first_m + part.arc_m) if part.is_pulley else part.first_m
    return int(np.argmin([loop.apart_m(roll.position_m, at_m) for roll in line.nodes.rolls]))


def thinned(places: int) -> np.ndarray:
    """At most so many of the places, spread evenly, first and last kept."""
    if places <= MOST_PLACES:
        return np.arange(places)
    return np.unique(np.linspace(0, places - 1, MOST_PLACES).round().astype(int))
