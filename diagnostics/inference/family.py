"""Candidate faults of one kind, and the places from which they are seen."""

from dataclasses import dataclass

import numpy as np

from diagnostics.inference.reach import Floats
from diagnostics.inference.vocabulary import LoadState


@dataclass(frozen=True)
class Family:
    """Candidates of one kind.

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


@dataclass(frozen=True)
class Looks:
    """Places that were looked at, each in its load state. [m]"""

    position_m: Floats
    load: tuple[LoadState, ...]


def at_component(
    name: str,
    component: str,
    position_m: float,
    influence_mm: Floats,
    spread: float,
    unit: str,
    weight: float = 1.0,
) -> Family:
    """A family with one candidate: `influence_mm` has one column."""
    place = np.array([position_m])
    return Family(name, influence_mm, spread, unit, place, place, place, (component,), weight)
