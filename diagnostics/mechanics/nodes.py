"""Nodes of the lateral model: every idler, both tangents of every pulley, and fill in long gaps."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from plant.loop.parts import Part, Station
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind, Run

Floats = NDArray[np.float64]

# Nodes no farther apart than this between idlers. [m]
LONGEST_ELEMENT_M = 2.0
# Places closer than this are one node. [m]
SAME_PLACE_M = 1e-6
# A roll carries the belt half-way to its neighbours; a gap in the register is no roll's. [m]
LONGEST_SHARE_M = 10.0
SHORTEST_SHARE_M = 0.1


@dataclass(frozen=True)
class Roll:
    """One idler set at a node; it carries `spacing_m` of belt."""

    node: int
    name: str
    run: Run
    kind: ComponentKind
    position_m: float
    spacing_m: float

    @property
    def is_self_aligning(self) -> bool:
        return self.kind is ComponentKind.SELF_ALIGNING_IDLER


@dataclass(frozen=True)
class PulleyNodes:
    """A pulley's first touch and leaving tangent as nodes; no beam lies between them."""

    part: Part
    node_in: int
    node_out: int


@dataclass(frozen=True, eq=False)
class Nodes:
    """Places in the order of travel from the tail's leaving tangent (node 0) to its first touch.

    Attributes
    ----------
    s_m : array, shape (n,)
        Loop position of each node. [m]
    rolls : tuple of Roll
    pulleys : tuple of PulleyNodes
        The tail last; its leaving node is node 0.
    """

    s_m: Floats
    rolls: tuple[Roll, ...]
    pulleys: tuple[PulleyNodes, ...]

    @cached_property
    def roll_rows(self) -> NDArray[np.int_]:
        """Shear row of each roll in the lateral model, twice its node, shape (rolls,)."""
        return np.array([2 * roll.node for roll in self.rolls], dtype=int)

    @cached_property
    def roll_at_m(self) -> Floats:
        """Loop position of each roll, shape (rolls,). [m]"""
        return np.array([roll.position_m for roll in self.rolls], dtype=np.float64)

    @cached_property
    def roll_spacing_m(self) -> Floats:
        """Belt that each roll carries, shape (rolls,). [m]"""
        return np.array([roll.spacing_m for roll in self.rolls], dtype=np.float64)

    @cached_property
    def roll_is_carrying(self) -> NDArray[np.bool_]:
        """Whether each roll stands on the carrying run, shape (rolls,)."""
        return np.array([roll.run is Run.CARRYING for roll in self.rolls], dtype=bool)

    @cached_property
    def roll_is_self_aligning(self) -> NDArray[np.bool_]:
        """Whether each roll is a self-aligning set, shape (rolls,)."""
        return np.array([roll.is_self_aligning for roll in self.rolls], dtype=bool)

    def rolls_on(self, run: Run) -> NDArray[np.int_]:
        """Numbers of the rolls of a run."""
        return np.flatnonzero(self.roll_is_carrying == (run is Run.CARRYING))


def lay_nodes(loop: Loop) -> Nodes:
    """Cut the loop into spans between pulleys and set a node at everything that acts on the belt.

    An idler recorded within a pulley's wrap touches no free belt and is left out.
    """
    waiting, taken = _acting_places(loop), 0
    places: list[float] = []
    found: list[tuple[int, Station]] = []
    pulleys: list[PulleyNodes] = []
    start = 0.0
    for index, part in enumerate(loop.pulleys):
        places.append(start)
        while taken < len(waiting) and waiting[taken][0] < part.first_m - SAME_PLACE_M:
            position, station = waiting[taken]
            taken += 1
            if position < start + SAME_PLACE_M:
                continue
            if position > places[-1] + SAME_PLACE_M:
                _fill(places, position)
            if station is not None:
                found.append((len(places) - 1, station))
        _fill(places, part.first_m)
        is_tail = index == len(loop.pulleys) - 1
        pulleys.append(PulleyNodes(part, len(places) - 1, 0 if is_tail else len(places)))
        start = part.first_m + part.arc_m
    return Nodes(np.array(places), _rolls(found, loop.tail_m), tuple(pulleys))


def _acting_places(loop: Loop) -> list[tuple[float, Station | None]]:
    idlers: list[tuple[float, Station | None]] = [
        (station.position_m, station)
        for part in loop.parts
        if part.is_idler
        for station in part.stations()
    ]
    loads: list[tuple[float, Station | None]] = [
        (part.first_m, None) for part in loop.of_kind(ComponentKind.LOAD_POINT)
    ]
    return sorted([*idlers, *loads], key=lambda item: item[0])


def _fill(places: list[float], to_m: float) -> None:
    """Nodes up to and with `to_m`, none farther apart than the longest element."""
    start = places[-1]
    count = math.ceil((to_m - start) / LONGEST_ELEMENT_M - 1e-9)
    if count > 1:
        places.extend(start + (to_m - start) * step / count for step in range(1, count))
    places.append(to_m)


def _rolls(found: list[tuple[int, Station]], end_m: float) -> tuple[Roll, ...]:
    """Give each roll the belt between the middles to its neighbours."""
    at = [0.0, *[station.position_m for _, station in found], end_m]
    return tuple(
        Roll(
            node,
            station.name,
            station.run,
            station.kind,
            station.position_m,
            max(min((at[index + 2] - at[index]) / 2, LONGEST_SHARE_M), SHORTEST_SHARE_M),
        )
        for index, (node, station) in enumerate(found)
    )
