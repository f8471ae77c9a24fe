"""Rolls that steer: groups out of square, stuck self-aligning sets, something rubbing; and load."""

import math

import numpy as np

from diagnostics.mechanics.candidates import Candidates, at_component, windows
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.line import Line
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
_RAD_PER_DEG = math.radians(1.0)


def single_rolls(model: LateralModel) -> Candidates:
    """Every single roll turned by one degree of heading, in the order of the nodes' rolls.

    Notes
    -----
    Shear C_i eps at the roll's node; eps = -alpha, so that positive drives the belt right. A roll
    slips beyond |C_i eps| = mu N_i: one carrying idler moves the belt by little, several in a row
    add up. A dropped end, a failed bearing, a seized or built-up roll steers in the same way with
    an amplitude that nobody knows: from offsets alone they cannot be told apart, a finding at the
    idler decides.
    """
    nodes = model.line.nodes
    every = np.arange(len(nodes.rolls))
    values = model.line.grip_n_rad * _RAD_PER_DEG
    names = tuple(roll.name for roll in nodes.rolls)
    at = nodes.roll_at_m
    matrix = windows(every, 1, nodes.roll_rows, values, model.size)
    return Candidates("single idlers", matrix, 1.0, "deg", at, at, at, names)


def roll_groups(model: LateralModel, run: Run) -> list[Candidates]:
    """Every window of neighbouring sets of a run, as if all were turned alike. Unit deg."""
    on_run = model.line.nodes.rolls_on(run)
    groups = CARRYING_GROUPS if run is Run.CARRYING else RETURN_GROUPS
    return [
        _group(model, run, on_run, size, spread) for size, spread in groups if len(on_run) >= size
    ]


def _group(
    model: LateralModel, run: Run, on_run: np.ndarray, size: int, spread: float
) -> Candidates:
    nodes = model.line.nodes
    starts = thinned(len(on_run) - size + 1)
    first, last = nodes.roll_at_m[on_run[starts]], nodes.roll_at_m[on_run[starts + size - 1]]
    middles = tuple(nodes.rolls[one].name for one in on_run[starts + (size - 1) // 2])
    values = model.line.grip_n_rad[on_run] * _RAD_PER_DEG
    matrix = windows(starts, size, nodes.roll_rows[on_run], values, model.size)
    return Candidates(
        f"idlers {run}", matrix, spread, "deg", (first + last) / 2, first, last, middles
    )


def stuck_sets(model: LateralModel, run: Run) -> list[Candidates]:
    """Each self-aligning set of a run as if frozen at an angle. Unit deg.

    Notes
    -----
    Shear C_i eps at the set's node. The shape is exact; a set that is stuck no longer turns
    against the offset it makes, so that its effect is larger than this by 1 / (1 - C G a), a the
    offset at the set per unit of shear there: `LateralModel(line, stuck)` computes it so.
    """
    nodes = model.line.nodes
    on_run = nodes.rolls_on(run)
    chosen = on_run[nodes.roll_is_self_aligning[on_run]]
    if not len(chosen):
        return []
    at = nodes.roll_at_m[chosen]
    names = tuple(nodes.rolls[one].name for one in chosen)
    values = model.line.grip_n_rad * _RAD_PER_DEG
    matrix = windows(chosen, 1, nodes.roll_rows, values, model.size)
    return [Candidates(f"stuck {run}", matrix, STUCK_DEG, "deg", at, at, at, names)]


def off_centre_loads(model: LateralModel) -> list[Candidates]:
    """One millimetre of load to the left, from each load point to the head: q = -k_load e.

    k_load is the load's part of the trough's centring stiffness. The belt of an empty run is not
    moved, so that its readings speak against the load. Own derivation.
    """
    line = model.line
    loads = [(p.name, p.first_m) for p in line.data.loop.of_kind(ComponentKind.LOAD_POINT)]
    usual_mm = LOAD_OFF_SHARE_OF_WIDTH * line.data.belt.width_m * 1000
    return [
        at_component(
            "loading",
            name,
            load_m,
            _pressed(model, load_m),
            model.size,
            usual_mm,
            "mm",
        )
        for name, load_m in loads or [("", 0.0)]
    ]


def _pressed(model: LateralModel, load_m: float) -> dict[int, float]:
    nodes = model.line.nodes
    pressing = model.line.centring_n_m[1] * (nodes.roll_at_m >= load_m) / 1000
    return {
        int(row): float(value)
        for row, value in zip(nodes.roll_rows, pressing, strict=True)
        if value
    }


def rubbing(model: LateralModel, part: Part) -> Candidates:
    """Something presses on one edge: the belt is turned there, as by one roll of grip c."""
    nodes = model.line.nodes
    entries: dict[int, float] = {}
    if nodes.rolls:
        nearest = rubbed_roll(model.line, part)
        per_metre = model.line.grip_n_rad[nearest] / nodes.roll_spacing_m[nearest]
        entries[int(nodes.roll_rows[nearest])] = float(per_metre * _RAD_PER_DEG)
    return at_component(
        f"rub {part.name}", part.name, part.first_m, entries, model.size, RUB_DEG_M, ""
    )


def rubbed_roll(line: Line, part: Part) -> int:
    """Number of the roll nearest to where a part rubs; a pulley where the belt leaves it."""
    loop = line.data.loop
    at_m = loop.wrap(part.first_m + part.arc_m) if part.is_pulley else part.first_m
    way = (line.nodes.roll_at_m - at_m) % loop.length_m
    return int(np.argmin(np.minimum(way, loop.length_m - way)))


def thinned(places: int) -> np.ndarray:
    """At most so many of the places, spread evenly, first and last kept."""
    if places <= MOST_PLACES:
        return np.arange(places)
    return np.unique(np.linspace(0, places - 1, MOST_PLACES).round().astype(int))
