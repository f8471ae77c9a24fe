"""The few kinds that most events are of: counts, largest first, with their running share; pure."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class ParetoRow:
    """One kind; `share` and `cumulative` are of all events, 0 to 1."""

    key: str
    events: int
    share: float
    cumulative: float


def pareto(keys: Iterable[str], order: Iterable[str] = ()) -> tuple[ParetoRow, ...]:
    """Rank kinds by how many events are of them.

    Parameters
    ----------
    keys : iterable of str
        The kind of each event; "" where it is not known.
    order : iterable of str
        Which of two kinds with as many events goes first; others follow by their word.

    Returns
    -------
    tuple of ParetoRow
        Largest first; the unknown last, however many they are, for nobody can act on them.

    References
    ----------
    Identity; the order is that of J. M. Juran's "vital few", Quality Control Handbook (1951).
    """
    counts = Counter(keys)
    places = {key: place for place, key in enumerate(order)}
    ranked = sorted(
        counts, key=lambda key: (not key, -counts[key], places.get(key, len(places)), key)
    )
    found: list[ParetoRow] = []
    so_far, total = 0, counts.total()
    for key in ranked:
        so_far += counts[key]
        found.append(ParetoRow(key, counts[key], counts[key] / total, so_far / total))
    return tuple(found)


def vital_few(rows: tuple[ParetoRow, ...], share: float = 0.8) -> tuple[ParetoRow, ...]:
    """The first known kinds that together make up a share of all events, or all that are known."""
    known = tuple(row for row in rows if row.key)
    enough = next((n for n, row in enumerate(known, 1) if row.cumulative >= share), len(known))
    return known[:enough]
