"""Every candidate fault of a conveyor as seen from the places that were looked at."""

from collections.abc import Mapping

import numpy as np

from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.vocabulary import LoadState
from diagnostics.mechanics.bow_faults import bows
from diagnostics.mechanics.influence import Family, Influences, Looks, at_component
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.nodes import Floats, PulleyNodes
from diagnostics.mechanics.pulley_faults import PULLEY_SKEW_DEG, PULLEY_TAPER_MM, pulley_faults
from diagnostics.mechanics.roll_faults import off_centre_loads, roll_groups, rubbing, stuck_sets
from plant.loop.vocabulary import ComponentKind, Run

# The trade's experience of pulleys, which the mechanics does not show: nothing before the pulley,
# and so much behind it. It stays as evidence beside the computed shape, at this share of it;
# engineering judgement, to be calibrated. [mm]
LATE_MM = 60.0
LATE_WEIGHT = 0.3
_RUBBED_AT = (
    ComponentKind.BELT_CLEANER,
    ComponentKind.PLOUGH,
    ComponentKind.SKIRTBOARD,
    ComponentKind.TAKE_UP_FRAME,
    ComponentKind.LOAD_POINT,
    ComponentKind.HEAD_PULLEY,
)


class FaultFamilies:
    """Candidates of one conveyor for given looks.

    Attributes
    ----------
    loop : Loop
    by_roll_mm_deg : array, shape (readings, rolls)
        Offset per degree of heading of every single roll.
    """

    def __init__(
        self,
        conveyor: ConveyorFacts,
        models: Mapping[LoadState, LateralModel],
        positions_m: Floats,
        loads: tuple[LoadState, ...],
    ) -> None:
        self.loop = conveyor.loop
        order = list(models)
        index = np.array([order.index(load) for load in loads], dtype=int)
        self._influences = Influences(list(models.values()), Looks(positions_m, index))
        self.by_roll_mm_deg: Floats = self._influences.rolls_mm_deg.T

    def families(self) -> list[Family]:
        found: list[Family] = []
        for run in Run:
            found += roll_groups(self._influences, run)
            found += stuck_sets(self._influences, run)
            found += bows(self._influences, run)
        found += off_centre_loads(self._influences)
        for pulley in self._influences.line.nodes.pulleys:
            found += pulley_faults(self._influences, pulley)
            found += self._late(pulley)
        found += [rubbing(self._influences, part) for part in self.loop.of_kind(*_RUBBED_AT)]
        return found

    def _late(self, pulley: PulleyNodes) -> list[Family]:
        """The belt leaves the pulley displaced, by whatever happened on it."""
        part = pulley.part
        displaced = self._influences.adjoint[2 * pulley.node_out] * LATE_MM
        return [
            at_component(
                f"{kind} {part.name}",
                part.name,
                part.first_m,
                displaced / usual,
                usual,
                unit,
                LATE_WEIGHT,
            )
            for kind, usual, unit in (
                ("skew", PULLEY_SKEW_DEG, "deg"),
                ("taper", PULLEY_TAPER_MM, "mm diameter"),
            )
        ]
