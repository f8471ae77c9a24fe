"""How every candidate fault of a conveyor moves the belt at the places where it was looked at."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from scipy.sparse import csr_array, vstack

from diagnostics.mechanics.candidates import Candidates
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.nodes import Floats
from diagnostics.mechanics.roll_faults import single_rolls

MM_PER_M = 1000.0
MM_PER_DEG = math.radians(1.0) * MM_PER_M
# Room for what was computed at places of one conveyor in one load state, and the fewest places
# that are kept whatever it takes: more than anybody looks at in one walk of a long belt. [byte]
KEPT_BYTES = 16_000_000
FEWEST_KEPT = 64


@dataclass(frozen=True, eq=False)
class Family:
    """Candidate faults of one kind as seen from the readings; see `Candidates` for what is shared.

    Attributes
    ----------
    influence_mm : array, shape (readings, places)
        Offset per unit of amplitude. [mm per unit]
    """

    name: str
    influence_mm: Floats
    spread: float
    unit: str
    position_m: Floats
    from_m: Floats
    to_m: Floats
    components: tuple[str, ...]
    weight: float = 1.0

    @staticmethod
    def seen(candidates: Candidates, influence_mm: Floats) -> "Family":
        return Family(
            candidates.name,
            influence_mm,
            candidates.spread,
            candidates.unit,
            candidates.position_m,
            candidates.from_m,
            candidates.to_m,
            candidates.components,
            candidates.weight,
        )


class FaultTable:
    """All candidate faults of one model, and what they do at places, computed once a place.

    Parameters
    ----------
    model : LateralModel
    candidates : sequence of Candidates
        In the order in which their columns are wanted.

    Attributes
    ----------
    column : callable
        From a loop position to the offsets there by every candidate, and after them by every
        single roll. [mm per unit], [mm per deg]; read-only, shape (candidates + rolls,)
    """

    def __init__(self, model: LateralModel, candidates: Sequence[Candidates]) -> None:
        self.model = model
        self.candidates = tuple(candidates)
        matrices = [one.matrix for one in (*self.candidates, single_rolls(model))]
        stacked = csr_array(vstack(matrices, format="csr"))
        bounds = np.cumsum([0, *[one.shape[0] for one in matrices]])
        self._slices = [slice(int(start), int(end)) for start, end in pairwise(bounds)]
        most = max(KEPT_BYTES // (8 * max(stacked.shape[0], 1)), FEWEST_KEPT)
        # Knows the model, not the table: a cycle would keep both until the collector comes.
        self.column: Callable[[float], Floats] = lru_cache(maxsize=most)(
            _Columns(model, stacked).at
        )

    def families(self, columns: Floats) -> list[Family]:
        """Candidates by family, from the columns of the readings, shape (readings, ...)."""
        return [
            Family.seen(one, columns[:, part])
            for one, part in zip(self.candidates, self._slices, strict=False)
        ]

    def single_rolls_mm_deg(self, columns: Floats) -> Floats:
        """Offset per degree of heading of every single roll, shape (readings, rolls)."""
        return columns[:, self._slices[-1]]


@dataclass(frozen=True, eq=False)
class _Columns:
    model: LateralModel
    stacked: csr_array

    def at(self, position_m: float) -> Floats:
        column: Floats = self.stacked @ self.model.sensitivity_at(position_m) * MM_PER_M
        column.flags.writeable = False
        return column
