"""Tension along the loop with the take-up as boundary and the drive where it stands.

As `mechanics.tension`, but open about tensions below zero, which are what a check looks for, and
with drive pulleys anywhere on the loop.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnostics.mechanics.nodes import Floats
from diagnostics.mechanics.register_check.formulas import length_coefficient
from diagnostics.mechanics.tension import (
    FRICTION_FACTOR,
    GRAVITY_MPS2,
    LAGGED_FRICTION,
    Strands,
    tension_ratio,
)
from plant.loop.parts import Part
from plant.loop.path import Loop


@dataclass(frozen=True)
class TensionProfile:
    """One load state of one conveyor.

    Attributes
    ----------
    loop : Loop
    strands : Strands
        Masses; `centre_m` is the length of the carrying run.
    drives : sequence of Part
        Pulleys that pull, at equal shares; at least one.
    known_at_m, known_n : float
        Where the tension is known, and how much it is. [m], [N]
    friction : float
        Artificial friction factor of idlers and belt.

    Notes
    -----
    Along travel T rises by f g (q_rolls + q cos d) + q g H / L per metre on each run and falls at
    each drive by its share of the sum, so that the belt comes round to the same tension.
    Secondary resistances (skirts, cleaners, bending round pulleys) are not part of the line; the
    pull has them by the length coefficient.

    References
    ----------
    ISO 5048, main and slope resistance.
    """

    loop: Loop
    strands: Strands
    drives: Sequence[Part]
    known_at_m: float
    known_n: float
    friction: float = FRICTION_FACTOR

    @property
    def return_m(self) -> float:
        return self.loop.length_m - self.loop.head_m

    @cached_property
    def _rates_n_m(self) -> tuple[float, float]:
        """Rise of tension per metre of the carrying and of the return run. [N/m]"""
        own = self.strands
        # A return run longer than the carrying one by its take-up comes down no farther.
        back = Strands(
            own.belt_kg_m,
            0.0,
            own.carrying_rolls_kg_m,
            own.return_rolls_kg_m,
            own.lift_m,
            max(self.return_m, 1.0),
        )
        return own.carrying_n_m(self.friction), back.return_n_m(self.friction)

    @property
    def line_pull_n(self) -> float:
        """Main and slope resistance of the line as it is drawn. [N]"""
        carrying, returning = self._rates_n_m
        return carrying * self.loop.head_m + returning * self.return_m

    @cached_property
    def pull_n(self) -> float:
        """What the drives hand to the belt: C F_H + F_slope; below 0 they brake. [N]"""
        slope_n = self.strands.load_kg_m * GRAVITY_MPS2 * self.strands.lift_m
        main_n = self.line_pull_n - slope_n
        return length_coefficient(self.loop.head_m) * main_n + slope_n

    def at_n(self, positions_m: Floats) -> Floats:
        """Tension at places on the loop; at a drive, that before it. Shape (m,). [N]"""
        known = self._from_tail_n(np.array([self.known_at_m]))[0]
        risen: Floats = self._from_tail_n(positions_m) - known + self.known_n
        return risen

    def _from_tail_n(self, positions_m: Floats) -> Floats:
        carrying, returning = self._rates_n_m
        head_m = self.loop.head_m
        risen = carrying * np.minimum(positions_m, head_m)
        risen = risen + returning * np.maximum(positions_m - head_m, 0.0)
        step_n = self.line_pull_n / len(self.drives)
        for drive in self.drives:
            risen = risen - step_n * (positions_m > drive.first_m)
        return np.asarray(risen, dtype=float)

    @cached_property
    def behind_drive_n(self) -> float:
        """Tension where the belt leaves the last drive. [N]"""
        last_m = max(drive.first_m for drive in self.drives)
        return float(self.at_n(np.array([math.nextafter(last_m, math.inf)]))[0])

    @property
    def wrap_rad(self) -> float:
        """Arc of contact of all drives together: the most their sharing can use. [rad]"""
        return math.radians(sum(drive.wrap_deg or 0.0 for drive in self.drives))

    @property
    def grip(self) -> float:
        """e^(mu alpha) of the drives on dry, lagged pulleys."""
        return tension_ratio(LAGGED_FRICTION, self.wrap_rad)

    def corners_m(self) -> list[float]:
        """Places between which the line is straight, each drive twice. [m]"""
        places = {0.0, self.loop.head_m, self.known_at_m, self.loop.length_m}
        for drive in self.drives:
            places |= {drive.first_m, math.nextafter(drive.first_m, math.inf)}
        return sorted(places)
