"""Where a fault stands that is asked for by the name of a component or by metres."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

from diagnostics.inference.causes import Cause
from diagnostics.inference.what_if.causes_asked import FaultKind
from diagnostics.inference.what_if.choice import WhatIfRefusal, metres_or_none, shown
from diagnostics.inference.what_if.measures import USUAL_SETS
from diagnostics.mechanics.bow_faults import END_M, HALF_LENGTHS_M
from diagnostics.mechanics.nodes import Nodes
from plant.loop.parts import Part
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind, Run

# Metres mean the nearest component of the right kind when it stands no farther off.
_NEAR_M = 5.0
_MOST_NAMED = 6
# The bow drawn unless the run is too short for it: the middle one of the engine's three.
_USUAL_HALF_M = HALF_LENGTHS_M[1]


@dataclass(frozen=True)
class Standing:
    """One place of a fault.

    Attributes
    ----------
    kind : FaultKind
    component : str
        Empty for a load point the register does not have.
    position_m, from_m, to_m : float
        Middle and ends. [m]
    run : Run
    part : Part or None
        The pulley or fitting.
    rolls : tuple of int
        Numbers among the rolls of the nodes.
    """

    kind: FaultKind
    component: str
    position_m: float
    from_m: float
    to_m: float
    run: Run
    part: Part | None = None
    rolls: tuple[int, ...] = ()


def standing_of(
    cause: Cause, names: Sequence[str], at: str, sets: int | None, loop: Loop, nodes: Nodes
) -> Standing:
    """The place that is meant.

    Parameters
    ----------
    cause : Cause
    names : sequence of str
        Its fault families here.
    at : str
        A name, metres, or nothing where one place alone is possible.
    sets : int or None
        Of idlers: how many stand alike.
    loop : Loop
    nodes : Nodes

    Raises
    ------
    WhatIfRefusal
        No such component, off the loop, nothing of the kind there, or several places possible.
    """
    if sets is not None and not any(name.startswith(FaultKind.IDLERS) for name in names):
        raise WhatIfRefusal("sets", f"are for causes of several idler sets, not for {cause.slug}.")
    if names[0].startswith(FaultKind.BOW):
        return _bowed(names, at, loop)
    found = [one for name in names for one in _candidates(cause, name, loop, nodes)]
    if not found:
        raise WhatIfRefusal("cause", f"{cause.slug} has nothing on the open belt to stand at here.")
    picked = _picked(found, at, loop)
    return _widened(picked, sets, nodes) if picked.kind is FaultKind.IDLERS else picked


def place_on_loop(at: str, loop: Loop) -> float:
    """Loop position of a name or of metres; refuses what is neither. [m]"""
    station = loop.station_named(at)
    if station is not None:
        return station.position_m
    part = next((one for one in loop.parts if one.name.casefold() == at.casefold()), None)
    if part is not None:
        return _middle_m(part)
    position_m = metres_or_none(at)
    if position_m is None:
        raise WhatIfRefusal("at", f"no component is called {shown(at)}.{_near(at, loop)}")
    if not 0 <= position_m < loop.length_m:
        raise WhatIfRefusal(
            "at", f"{position_m:g} m is off the loop, which goes from 0 to {loop.length_m:.1f} m."
        )
    return position_m


def _near(at: str, loop: Loop) -> str:
    known = [one.name for one in loop.stations] + [one.name for one in loop.parts]
    names = {name.casefold(): name for name in known}
    near = get_close_matches(at.casefold()[:60], names, n=3, cutoff=0.4)
    return f" Nearest: {', '.join(names[one] for one in near)}." if near else ""


def _middle_m(part: Part) -> float:
    if part.count > 1:
        return (part.first_m + part.last_m) / 2
    is_stretch = part.kind is ComponentKind.STRUCTURE_SECTION
    return part.first_m + (part.length_m or 0.0) / 2 if is_stretch else part.first_m


def _candidates(cause: Cause, name: str, loop: Loop, nodes: Nodes) -> list[Standing]:
    """Every place of one fault family."""
    kind, _space, rest = name.partition(" ")
    if kind in (FaultKind.IDLERS, FaultKind.STUCK):
        return [
            _at_roll(FaultKind(kind), number, nodes)
            for number, roll in enumerate(nodes.rolls)
            if roll.run == rest and roll.kind in cause.stands_at
        ]
    if kind == FaultKind.LOADING:
        loads = loop.of_kind(ComponentKind.LOAD_POINT)
        if not loads:
            return [Standing(FaultKind.LOADING, "", 0.0, 0.0, 0.0, Run.CARRYING)]
        return [_at_part(FaultKind.LOADING, part) for part in loads]
    return [_at_part(FaultKind(kind), part) for part in loop.parts if part.name == rest]


def _at_roll(kind: FaultKind, number: int, nodes: Nodes) -> Standing:
    roll = nodes.rolls[number]
    at = roll.position_m
    return Standing(kind, roll.name, at, at, at, roll.run, rolls=(number,))


def _at_part(kind: FaultKind, part: Part) -> Standing:
    at = part.first_m
    return Standing(kind, part.name, at, at, at + part.arc_m, part.run, part)


def _picked(found: list[Standing], at: str, loop: Loop) -> Standing:
    if not at:
        if len(found) == 1:
            return found[0]
        raise WhatIfRefusal("at", f"say where: {_named(found)}.")
    named = [one for one in found if one.component.casefold() == at.casefold()]
    if named:
        return named[0]
    position_m = place_on_loop(at, loop)
    nearest = min(found, key=lambda one: _way_m(one, position_m, loop))
    is_name = loop.station_named(at) is not None
    if is_name or _way_m(nearest, position_m, loop) > _NEAR_M:
        where = shown(at) if is_name else f"{position_m:g} m"
        raise WhatIfRefusal(
            "at",
            f"the cause does not stand at {where}; the nearest place for it is "
            f"{nearest.component or 'the tail'} at {nearest.position_m:g} m.",
        )
    return nearest


def _way_m(one: Standing, position_m: float, loop: Loop) -> float:
    """To the place, anywhere on the wrap of a pulley. [m]"""
    if one.from_m <= position_m <= one.to_m:
        return 0.0
    return min(loop.apart_m(end, position_m) for end in (one.from_m, one.to_m))


def _named(found: list[Standing]) -> str:
    if len(found) <= _MOST_NAMED:
        return "one of " + ", ".join(one.component for one in found)
    first, last = found[0], found[-1]
    return f"one of {len(found)} places from {first.component} to {last.component}, or metres"


def _widened(middle: Standing, sets: int | None, nodes: Nodes) -> Standing:
    """The neighbouring sets of the run round one of them, all turned alike."""
    row = [number for number, roll in enumerate(nodes.rolls) if roll.run is middle.run]
    wanted = min(USUAL_SETS[middle.run], len(row)) if sets is None else sets
    if wanted > len(row):
        raise WhatIfRefusal(
            "sets", f"the {middle.run} run has {len(row)} idler sets, not {wanted}."
        )
    start = min(max(row.index(middle.rolls[0]) - (wanted - 1) // 2, 0), len(row) - wanted)
    chosen = tuple(row[start : start + wanted])
    first_m, last_m = (nodes.rolls[chosen[one]].position_m for one in (0, -1))
    return replace(
        middle, position_m=(first_m + last_m) / 2, from_m=first_m, to_m=last_m, rolls=chosen
    )


def _bowed(names: Sequence[str], at: str, loop: Loop) -> Standing:
    """A bow about a place of the right run, as long as the engine's middle one where it fits."""
    if not at:
        raise WhatIfRefusal("at", "say where the middle of the bow is, a component or metres.")
    centre_m = place_on_loop(at, loop)
    run = loop.run_at(centre_m)
    runs = [Run(name.partition(" ")[2]) for name in names]
    if run not in runs:
        raise WhatIfRefusal("at", f"the cause stands on the {runs[0]} run, not on the {run} run.")
    start, end = (0.0, loop.head_m) if run is Run.CARRYING else (loop.head_m, loop.tail_m)
    room_m = min(centre_m - start, end - centre_m) - END_M
    halves = [one for one in HALF_LENGTHS_M if one <= min(room_m, _USUAL_HALF_M)]
    if not halves:
        least = HALF_LENGTHS_M[0] + END_M
        raise WhatIfRefusal("at", _no_room(start + least, end - least, run))
    half_m = max(halves)
    name = loop.nearest_station(centre_m).name
    return Standing(FaultKind.BOW, name, centre_m, centre_m - half_m, centre_m + half_m, run)


def _no_room(from_m: float, to_m: float, run: Run) -> str:
    if to_m < from_m:
        return f"the {run} run is too short for a bow; the shortest is {2 * HALF_LENGTHS_M[0]:g} m."
    return (
        f"the bow has no room between the pulleys there; on the {run} run its middle may stand "
        f"from {from_m:.1f} to {to_m:.1f} m."
    )
