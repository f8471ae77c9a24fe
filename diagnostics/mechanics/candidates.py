"""Faults as right-hand sides of the lateral model, each stated once.

Solved forward a forcing shows how the belt would run with the fault; multiplied by the adjoint of
a place it says how far the fault moves the belt there. Balance rows are in N (shear) and N m
(moment), given rows in rad (heading) and m (position), all per unit of the fault's amplitude.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from diagnostics.mechanics.nodes import Floats


@dataclass(frozen=True, eq=False)
class Candidates:
    """Candidate faults of one kind on one lateral model, linear in their amplitude.

    A positive amplitude drives the belt to the right where the fault acts; of a bow, it bows the
    structure to the left.

    Attributes
    ----------
    name : str
        "idlers carrying", "stuck return", "bow carrying", "loading", "skew NAME", "taper NAME",
        "rub NAME" ...
    matrix : sparse array, shape (places, 2 n)
        Right-hand side of each candidate. [N, N m, rad, m per unit]
    spread : float
        Usual size: standard deviation of the amplitude around 0. [unit]
    unit : str
        Of the amplitude: deg, mm, mm diameter, mm/m.
    position_m, from_m, to_m : array, shape (places,)
        Middle and ends of each candidate. [m]
    components : tuple of str
        The component in the middle of each candidate.
    weight : float
        Against other families of the same name. > 0
    """

    name: str
    matrix: csr_array
    spread: float
    unit: str
    position_m: Floats
    from_m: Floats
    to_m: Floats
    components: tuple[str, ...]
    weight: float = 1.0

    def of(self, candidate: int, amplitude: float) -> Floats:
        """Right-hand side of one candidate at a given size, shape (2 n,)."""
        row = self.matrix[[candidate]]
        result: Floats = row.toarray()[0] * amplitude
        return result

    def nearest(self, position_m: float) -> int:
        """Number of the candidate whose middle is nearest to a place of the same run."""
        return int(np.argmin(np.abs(self.position_m - position_m)))


def at_component(
    name: str,
    component: str,
    position_m: float,
    entries: Mapping[int, float],
    size: int,
    spread: float,
    unit: str,
    weight: float = 1.0,
) -> Candidates:
    """One candidate, its right-hand side given by row; `size` is 2 n."""
    rows = np.array(list(entries), dtype=int)
    values = np.array(list(entries.values()), dtype=float)
    matrix = csr_array((values, (np.zeros_like(rows), rows)), shape=(1, size))
    place = np.array([position_m])
    return Candidates(name, matrix, spread, unit, place, place, place, (component,), weight)


def windows(
    starts: np.ndarray, width: int, rows: np.ndarray, values: Floats, size: int
) -> csr_array:
    """Right-hand sides of `width` neighbours together, one candidate for each start.

    Parameters
    ----------
    starts : array of int, shape (places,)
        Number of the first neighbour of each candidate.
    width : int
        Neighbours in a candidate, >= 1.
    rows, values : array, shape (neighbours,)
        Row of the model each neighbour acts on, and what it contributes.
    size : int
        2 n.
    """
    members = starts[:, None] + np.arange(width)
    candidate = np.repeat(np.arange(len(starts)), width)
    picked = members.ravel()
    return csr_array((values[picked], (candidate, rows[picked])), shape=(len(starts), size))


def stretches(
    centres_m: Floats, half_m: float, at_m: Floats
) -> tuple[np.ndarray, np.ndarray, Floats]:
    """Which places lie within reach of which centre.

    Parameters
    ----------
    centres_m : array, shape (places,)
    half_m : float
        Reach to either side, exclusive. [m]
    at_m : array, shape (n,)
        Rising. [m]

    Returns
    -------
    candidate, place : array of int, shape (pairs,)
    x : array, shape (pairs,)
        (place - centre) / reach, between -1 and 1.
    """
    first = np.searchsorted(at_m, centres_m - half_m, "right")
    last = np.searchsorted(at_m, centres_m + half_m, "left")
    count = np.maximum(last - first, 0)
    candidate = np.repeat(np.arange(len(centres_m)), count)
    before = np.repeat(np.cumsum(count) - count, count)
    place = np.arange(int(count.sum())) - before + np.repeat(first, count)
    x: Floats = (at_m[place] - centres_m[candidate]) / half_m
    return candidate, place, x


def names_at(positions_m: Floats, at_m: Floats, names: Sequence[str]) -> tuple[str, ...]:
    """Name of what stands nearest to each position; of two as near, the one before it."""
    after = np.clip(np.searchsorted(at_m, positions_m), 1, max(len(at_m) - 1, 1))
    last = len(at_m) - 1
    before, after = np.minimum(after - 1, last), np.minimum(after, last)
    is_before = np.abs(positions_m - at_m[before]) <= np.abs(positions_m - at_m[after])
    return tuple(names[int(one)] for one in np.where(is_before, before, after))
