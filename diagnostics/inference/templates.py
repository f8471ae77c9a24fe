"""How each possible fault would move the belt at the places where it was looked at.

Every family is linear in its amplitude. A positive amplitude drives the belt to the right where
the fault acts; of a bow, a positive amplitude bows the structure to the left.
"""

import math
from collections.abc import Callable, Sequence
from functools import partial

import numpy as np

from diagnostics.inference.bow_templates import MOST_PLACES, bows
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.family import Family, Looks, at_component
from diagnostics.inference.pulley_templates import (
    PULLEY_TAPER_MM,
    directions_deg,
    late_m,
    leaves_m,
    skew_m_rad,
    taper_m_mm,
)
from diagnostics.inference.reach import SELF_ALIGNING_CARRIES, Floats, LoopResponse
from diagnostics.inference.vocabulary import LoadState
from plant.loop.parts import Part, Station
from plant.loop.path import Loop
from plant.loop.vocabulary import IDLERS, ComponentKind, Run

# Neighbouring sets that are out of square together and the usual size of it [sets, deg];
# engineering judgement, to be calibrated.
CARRYING_GROUPS = ((2, 1.5), (5, 1.2), (8, 1.0))
RETURN_GROUPS = ((1, 2.5), (3, 1.5))
STUCK_DEG = 3.0
LOAD_OFF_SHARE_OF_WIDTH = 0.08
PULLEY_SKEW_DEG = 0.7
# Usual offset behind a pulley that shows nothing before it, and how often that is seen against
# the computed shape; engineering judgement, to be calibrated. [m]
LATE_M = 0.06
LATE_WEIGHT = 0.3
# What a cleaner or seal that presses on one edge turns the belt by; engineering judgement, to be
# calibrated. [deg m]
RUB_DEG_M = 1.5
_MM_PER_DEG = math.radians(1.0) * 1000.0
_RUBBED_AT = (
    ComponentKind.BELT_CLEANER,
    ComponentKind.PLOUGH,
    ComponentKind.SKIRTBOARD,
    ComponentKind.TAKE_UP_FRAME,
    ComponentKind.LOAD_POINT,
    ComponentKind.HEAD_PULLEY,
)


class Templates:
    """All candidate faults of one conveyor as seen from the places of `looks`."""

    def __init__(
        self, conveyor: ConveyorFacts, responses: dict[LoadState, LoopResponse], looks: Looks
    ) -> None:
        self.conveyor, self.responses, self.looks = conveyor, responses, looks
        self.loop: Loop = conveyor.loop
        self.rolls = _rolls(self.loop)
        self.place_m = np.array([station.position_m for station, _ in self.rolls])
        self.carries_m = np.array([carries for _, carries in self.rolls])
        self.by_roll_m_rad = self.carries_m * self.stacked(
            lambda one, seen: one.to_heading(seen, self.place_m)
        )
        self.by_roll_mm_deg = _MM_PER_DEG * self.by_roll_m_rad

    def families(self) -> list[Family]:
        found: list[Family] = []
        for run, groups in ((Run.CARRYING, CARRYING_GROUPS), (Run.RETURN, RETURN_GROUPS)):
            found += self._groups(run, groups)
            found += self._stuck(run)
            found += bows(self, run)
        found += self._loading()
        for pulley in self.loop.pulleys:
            found += self._pulley(pulley)
        found += [self._rub(part) for part in self.loop.of_kind(*_RUBBED_AT)]
        return found

    def stacked(self, answer: Callable[[LoopResponse, Floats], Floats]) -> Floats:
        """One row a reading, each computed in the reading's own load state."""
        seen = self.looks.position_m
        rows = {load: answer(one, seen) for load, one in self.responses.items()}
        return np.array([rows[load][index] for index, load in enumerate(self.looks.load)])

    def _groups(self, run: Run, groups: Sequence[tuple[int, float]]) -> list[Family]:
        index = [i for i, (station, _) in enumerate(self.rolls) if station.run is run]
        sums = np.cumsum(self.by_roll_mm_deg[:, index], axis=1)
        sums = np.hstack([np.zeros((len(sums), 1)), sums])
        found = []
        for size, spread in groups:
            if len(index) < size:
                continue
            starts = _thinned(len(index) - size + 1)
            first = [index[start] for start in starts]
            last = [index[start + size - 1] for start in starts]
            middle = [index[start + (size - 1) // 2] for start in starts]
            found.append(
                Family(
                    f"idlers {run}",
                    sums[:, starts + size] - sums[:, starts],
                    spread,
                    "deg",
                    (self.place_m[first] + self.place_m[last]) / 2,
                    self.place_m[first],
                    self.place_m[last],
                    tuple(self.rolls[one][0].name for one in middle),
                )
            )
        return found

    def _stuck(self, run: Run) -> list[Family]:
        index = [
            i
            for i, (station, _) in enumerate(self.rolls)
            if station.run is run and station.kind is ComponentKind.SELF_ALIGNING_IDLER
        ]
        if not index:
            return []
        at = self.place_m[index]
        names = tuple(self.rolls[one][0].name for one in index)
        influence = self.by_roll_mm_deg[:, index] * SELF_ALIGNING_CARRIES
        return [Family(f"stuck {run}", influence, STUCK_DEG, "deg", at, at, at, names)]

    def _loading(self) -> list[Family]:
        """A load 1 mm off to the left presses the belt right, from the load point to the head."""
        share = self.stacked(
            lambda one, seen: np.full(
                (len(seen), 1), one.duty.trough_of_load_n_m2() / one.carrying.grip_n_rad_m
            )
        )
        usual_mm = LOAD_OFF_SHARE_OF_WIDTH * self.conveyor.belt.width_mm
        loads = [(one.name, one.first_m) for one in self.loop.of_kind(ComponentKind.LOAD_POINT)]
        found = []
        for name, load_m in loads or [("", 0.0)]:
            pressed = [
                i
                for i, (station, _) in enumerate(self.rolls)
                if station.run is Run.CARRYING and station.position_m >= load_m
            ]
            pushed = share * self.by_roll_m_rad[:, pressed].sum(axis=1, keepdims=True)
            # A load off by a millimetre pushes by millimetres: metres per metre need no factor.
            found.append(at_component("loading", name, load_m, pushed, usual_mm, "mm"))
        return found

    def _rub(self, part: Part) -> Family:
        """Something presses on one edge: the belt is turned there, as by one roll."""
        at = np.array([leaves_m(self.loop, part) if part.is_pulley else part.first_m])
        turned = self.stacked(lambda one, seen: one.to_heading(seen, at)) * _MM_PER_DEG
        return at_component(f"rub {part.name}", part.name, part.first_m, turned, RUB_DEG_M, "")

    def _pulley(self, pulley: Part) -> list[Family]:
        name, at_m = pulley.name, pulley.first_m
        found = []
        for direction in directions_deg(pulley):
            skew = self.stacked(partial(skew_m_rad, pulley=pulley, turned_deg=direction))
            found.append(
                at_component(f"skew {name}", name, at_m, skew * _MM_PER_DEG, PULLEY_SKEW_DEG, "deg")
            )
        late = self.stacked(partial(late_m, pulley=pulley)) * 1000
        for kind, usual, unit in (
            ("skew", PULLEY_SKEW_DEG, "deg"),
            ("taper", PULLEY_TAPER_MM, "mm diameter"),
        ):
            shape = late * (LATE_M / usual)
            found.append(
                at_component(f"{kind} {name}", name, at_m, shape, usual, unit, LATE_WEIGHT)
            )
        taper = self.stacked(lambda one, seen: taper_m_mm(one, seen, pulley)) * 1000
        found.append(
            at_component(f"taper {name}", name, at_m, taper, PULLEY_TAPER_MM, "mm diameter")
        )
        return found


def _rolls(loop: Loop) -> list[tuple[Station, float]]:
    """Every idler set in order of travel, with the length of belt it carries. [m]"""
    found = [
        (station, part.spacing_m or 1.2)
        for part in loop.parts
        if part.kind in IDLERS
        for station in part.stations()
    ]
    return sorted(found, key=lambda one: one[0].position_m)


def _thinned(places: int) -> np.ndarray:
    if places <= MOST_PLACES:
        return np.arange(places)
    return np.unique(np.linspace(0, places - 1, MOST_PLACES).round().astype(int))
