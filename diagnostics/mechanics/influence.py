"""How every forcing of a conveyor moves the belt at the places where it was looked at."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.line import Line
from diagnostics.mechanics.nodes import Floats

MM_PER_M = 1000.0
MM_PER_DEG = math.radians(1.0) * MM_PER_M


@dataclass(frozen=True)
class Looks:
    """Places that were looked at and the model (load state) each belongs to.

    Attributes
    ----------
    position_m : array, shape (m,)
        Loop positions. [m]
    model : array of int, shape (m,)
        Index into the models.
    """

    position_m: Floats
    model: np.ndarray


@dataclass(frozen=True)
class Family:
    """Candidate faults of one kind, linear in their amplitude.

    A positive amplitude drives the belt to the right where the fault acts; of a bow, it bows the
    structure to the left.

    Attributes
    ----------
    name : str
        "idlers carrying", "stuck return", "bow carrying", "loading", "skew NAME", "taper NAME",
        "rub NAME".
    influence_mm : array, shape (readings, places)
        Offset per unit of amplitude. [mm per unit]
    spread : float
        Usual size: standard deviation of the amplitude around 0. [unit]
    unit : str
        Of the amplitude: deg, mm, mm diameter.
    position_m, from_m, to_m : array, shape (places,)
        Middle and ends of each candidate. [m]
    components : tuple of str
        The component in the middle of each candidate.
    weight : float
        Against other families of the same name. > 0
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


def at_component(
    name: str,
    component: str,
    position_m: float,
    column_mm: Floats,
    spread: float,
    unit: str,
    weight: float = 1.0,
) -> Family:
    """A family with one candidate."""
    place = np.array([position_m])
    return Family(name, column_mm[:, None], spread, unit, place, place, place, (component,), weight)


class Influences:
    """Sensitivity of every reading to every forcing, from one adjoint solve a reading.

    Parameters
    ----------
    models : sequence of LateralModel
        One a load state, on the same nodes.
    looks : Looks

    Attributes
    ----------
    adjoint : array, shape (2 n, m)
        d y(reading) / d forcing row, each reading by its own model.
    """

    def __init__(self, models: Sequence[LateralModel], looks: Looks) -> None:
        self.models, self.looks = models, looks
        self.line: Line = models[0].line
        self.adjoint = np.zeros((models[0].size, len(looks.position_m)))
        for index, model in enumerate(models):
            mine = looks.model == index
            if mine.any():
                self.adjoint[:, mine] = model.sensitivity(looks.position_m[mine])

    def per_reading(self, by_model: Sequence[Floats]) -> Floats:
        """Spread what each model holds, shape (k,), over the readings, shape (k, m)."""
        spread: Floats = np.stack(by_model, axis=1)[:, self.looks.model]
        return spread

    @cached_property
    def roll_rows(self) -> np.ndarray:
        """Shear row of each roll, shape (rolls,)."""
        return np.array([2 * roll.node for roll in self.line.nodes.rolls], dtype=int)

    @cached_property
    def grip_n_rad(self) -> Floats:
        """Grip of each roll at each reading's load state, shape (rolls, m). [N/rad]"""
        return self.per_reading([model.line.grip_n_rad for model in self.models])

    @cached_property
    def rolls_mm_deg(self) -> Floats:
        """Offset at each reading per degree of heading of each roll, shape (rolls, m)."""
        return self.adjoint[self.roll_rows] * self.grip_n_rad * MM_PER_DEG

    @cached_property
    def elastic(self) -> Floats:
        """K_el' lambda: answer to a displaced structure, balance rows only, shape (2 n, m)."""
        given = self.models[0].given_rows
        free = np.where(given[:, None], 0.0, self.adjoint)
        result = np.zeros_like(free)
        for index, model in enumerate(self.models):
            mine = np.flatnonzero(self.looks.model == index)
            if len(mine):
                result[:, mine] = model.elastic_product(free[:, mine])
        return result
