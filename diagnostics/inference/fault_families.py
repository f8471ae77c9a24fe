"""Every candidate fault of a conveyor as seen from the places that were looked at.

What belongs to a conveyor is computed once and kept: candidates by lateral model, their effect by
place. Models are kept by the value of the conveyor's figures (`belt_lines`), so that changed
figures never meet what was computed for others.
"""

from collections.abc import Iterable, Mapping
from functools import lru_cache

import numpy as np

from diagnostics.inference import belt_lines
from diagnostics.inference.belt_lines import MOST_KEPT
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.vocabulary import LoadState
from diagnostics.mechanics.bow_faults import bows
from diagnostics.mechanics.candidates import Candidates, at_component
from diagnostics.mechanics.influence import Family, FaultTable
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.nodes import Floats, PulleyNodes
from diagnostics.mechanics.peaks import peak_offsets_mm
from diagnostics.mechanics.pulley_faults import (
    PULLEY_SKEW_DEG,
    PULLEY_TAPER_MM,
    handed_on,
    skewed_pulley,
    tapered_pulley,
)
from diagnostics.mechanics.roll_faults import off_centre_loads, roll_groups, rubbing, stuck_sets
from plant.loop.vocabulary import ComponentKind, Run

# The trade's experience of pulleys, which the mechanics does not show: nothing before the pulley,
# and so much behind it. It stays as evidence beside the computed shape, at this share of it;
# engineering judgement, to be calibrated. [mm]
LATE_MM = 60.0
LATE_WEIGHT = 0.2
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
    peaks_mm : array, shape (places of all families,)
        Largest offset anywhere on the loop, in the load states that were seen. [mm per unit]
    """

    def __init__(
        self,
        conveyor: ConveyorFacts,
        models: Mapping[LoadState, LateralModel],
        positions_m: Floats,
        loads: tuple[LoadState, ...],
    ) -> None:
        self.loop = conveyor.loop
        tables = {load: fault_table(model) for load, model in models.items()}
        # Families are the same in every load state; only what they do differs.
        self._table = next(iter(tables.values()))
        self._columns = np.array(
            [
                tables[load].column(float(position_m))
                for load, position_m in zip(loads, positions_m, strict=True)
            ]
        )
        self.by_roll_mm_deg: Floats = self._table.single_rolls_mm_deg(self._columns)
        self.peaks_mm: Floats = np.max([_peaks_mm(model) for model in models.values()], axis=0)

    def families(self) -> list[Family]:
        return self._table.families(self._columns)


@lru_cache(maxsize=MOST_KEPT)
def fault_table(model: LateralModel) -> FaultTable:
    """Every candidate fault of a conveyor in one load state, kept with its model."""
    return FaultTable(model, list(_candidates(model)))


@lru_cache(maxsize=MOST_KEPT)
def _peaks_mm(model: LateralModel) -> Floats:
    return peak_offsets_mm(model, fault_table(model).candidates)


def forget() -> None:
    """Drop everything that is kept of conveyors; for who measures what it takes anew."""
    fault_table.cache_clear()
    _peaks_mm.cache_clear()
    belt_lines.forget()


def _candidates(model: LateralModel) -> Iterable[Candidates]:
    for run in Run:
        yield from roll_groups(model, run)
        yield from stuck_sets(model, run)
        yield from bows(model, run)
    yield from off_centre_loads(model)
    for pulley in model.line.nodes.pulleys:
        yield from skewed_pulley(model, pulley)
        yield tapered_pulley(model, pulley)
        yield from _late(model, pulley)
    for part in model.line.data.loop.of_kind(*_RUBBED_AT):
        yield rubbing(model, part)


def _late(model: LateralModel, pulley: PulleyNodes) -> Iterable[Candidates]:
    """The belt leaves the pulley displaced, as the trade sees it."""
    part = pulley.part
    for kind, usual, unit in (
        ("skew", PULLEY_SKEW_DEG, "deg"),
        ("taper", PULLEY_TAPER_MM, "mm diameter"),
    ):
        yield at_component(
            f"{kind} {part.name}",
            part.name,
            part.first_m,
            handed_on(pulley, LATE_MM / 1000 / usual),
            model.size,
            usual,
            unit,
            LATE_WEIGHT,
        )
