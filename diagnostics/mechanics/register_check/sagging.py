"""Sag between the idler sets of one run, in the load state in which it sags most."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from diagnostics.mechanics.register_check import limits
from diagnostics.mechanics.register_check.findings import (
    Check,
    Compared,
    Given,
    Quantity,
    Unit,
    at_most,
)
from diagnostics.mechanics.register_check.formulas import sag_share, tension_for_sag_n
from diagnostics.mechanics.register_check.tension_profile import TensionProfile
from plant.loop.parts import Part
from plant.loop.vocabulary import Run


@dataclass(frozen=True)
class SagLimit:
    """Along one group of sets: the tension below which the belt sags too far. [m], [N]"""

    from_m: float
    to_m: float
    tension_n: float
    asks: bool


@dataclass(frozen=True)
class Sagging:
    """One run: loaded for the carrying, empty for the return run."""

    run: Run
    profile: TensionProfile

    @cached_property
    def groups(self) -> list[Part]:
        """The sets whose spacing is known."""
        parts = self.profile.loop.parts
        return [part for part in parts if part.is_idler and part.run is self.run and part.spacing_m]

    @property
    def mass_kg_m(self) -> float:
        """What hangs between two sets. [kg/m]"""
        strands = self.profile.strands
        return strands.belt_kg_m + (strands.load_kg_m if self.run is Run.CARRYING else 0.0)

    @cached_property
    def least_n(self) -> list[float]:
        """Least tension at the sets of each group: all places at once, long belts have many. [N]"""
        places = [[one.position_m for one in part.stations()] for part in self.groups]
        firsts = np.cumsum([0, *(len(one) for one in places[:-1])])
        tension_n = self.profile.at_n(np.concatenate(places))
        return [float(one) for one in np.minimum.reduceat(tension_n, firsts)]

    @cached_property
    def limits(self) -> list[SagLimit]:
        return [
            SagLimit(part.first_m, part.last_m, need_n, least_n < need_n)
            for part, least_n, need_n in zip(self.groups, self.least_n, self._needs_n, strict=True)
        ]

    @property
    def lacking_n(self) -> float:
        """By how much the tension is too low where it is lowest; below 0 what is to spare. [N]"""
        return max(need - least for need, least in zip(self._needs_n, self.least_n, strict=True))

    def largest(self, check: Check) -> Compared:
        """The group that sags most, with the names of all that sag too far."""
        compared = [
            self._compared(check, part, least_n)
            for part, least_n in zip(self.groups, self.least_n, strict=True)
        ]
        worst = max(compared, key=lambda one: one.found.value)
        others = tuple(one.at[0] for one in compared if one.asks and one is not worst)
        return replace(worst, at=(*worst.at, *others))

    @cached_property
    def _needs_n(self) -> list[float]:
        return [
            tension_for_sag_n(part.spacing_m or 0.0, self.mass_kg_m, limits.MOST_SAG_SHARE)
            for part in self.groups
        ]

    def _compared(self, check: Check, part: Part, tension_n: float) -> Compared:
        spacing_m = part.spacing_m or 0.0
        return at_most(
            check,
            sag_share(spacing_m, self.mass_kg_m, tension_n),
            limits.MOST_SAG_SHARE,
            Unit.SHARE,
            at=(part.name,),
            given=(
                Given("a", Quantity(spacing_m, Unit.METRE)),
                Given("q", Quantity(self.mass_kg_m, Unit.KILOGRAM_PER_METRE)),
                Given("T", Quantity(tension_n, Unit.NEWTON)),
                Given("T_0", Quantity(self.profile.known_n, Unit.NEWTON)),
            ),
        )
