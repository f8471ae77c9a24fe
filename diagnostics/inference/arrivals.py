"""Which evidence came in between two answers, and how far each kind moved the probabilities."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from diagnostics.inference.evidence import Evidence, FindingFact, Sighting
from diagnostics.inference.moved import Shift, shifts_between
from diagnostics.inference.vocabulary import LoadState

# Stations named one by one up to here, then counted.
_MOST_NAMED = 6


@dataclass(frozen=True)
class Arrival:
    """What is new of one kind, in sentences, and the shifts of the classes that it caused."""

    says: tuple[str, ...]
    shifts: tuple[Shift, ...]


def arrivals_between(
    before: Evidence,
    after: Evidence,
    shares_of: Callable[[Evidence], Mapping[str, float]],
    cause_names: Mapping[str, str],
) -> tuple[Arrival, ...]:
    """New evidence by kind: sightings, timed looks, findings, remarks about the case.

    Parameters
    ----------
    before, after : Evidence
        Of one case. What only the earlier one has was taken back.
    shares_of : callable
        Probability of every class by its word, for any evidence.
    cause_names : mapping of str to str
        Names of causes by slug.

    Returns
    -------
    tuple of Arrival
        One for each kind that changed, in the order in which they were added.

    Notes
    -----
    The kinds are added to the earlier evidence one after the other; the shifts of all steps add up
    to that of the whole, and the share of each depends somewhat on the order. What else may have
    changed, conveyor and base rates, is taken as it is later.
    """
    standing = replace(after, **{name: getattr(before, name) for name in _KINDS})
    shares = shares_of(standing)
    found = []
    for name, words in _KINDS.items():
        old, new = getattr(before, name), getattr(after, name)
        says = tuple(words(_added(old, new), _added(new, old), cause_names))
        if not says:
            continue
        standing = replace(standing, **{name: new})
        moved = shares_of(standing)
        found.append(Arrival(says, shifts_between(shares, moved)))
        shares = moved
    return tuple(found)


def _added(old: Iterable[Any], new: Iterable[Any]) -> list[Any]:
    """What the new has more often than the old, in its order."""
    left = Counter(old)
    added = []
    for one in new:
        if left[one] > 0:
            left[one] -= 1
        else:
            added.append(one)
    return added


def _sightings(
    added: list[Sighting], taken: list[Sighting], _names: Mapping[str, str]
) -> Iterable[str]:
    for load in LoadState:
        mine = [one.station for one in added if one.load is load]
        if mine:
            yield f"Looked at, {load}: {_listed(mine)}."
    if taken:
        yield f"No longer counted: {_listed([one.station for one in taken])}."


def _timed_looks(added: list[Any], taken: list[Any], _names: Mapping[str, str]) -> Iterable[str]:
    if added:
        yield f"Timed at {_listed([one.station for one in added])}."
    if taken:
        yield f"Timed look no longer counted: {_listed([one.station for one in taken])}."


def _findings(
    added: list[FindingFact], taken: list[FindingFact], names: Mapping[str, str]
) -> Iterable[str]:
    for one in added:
        yield f"{_inspected(one, names)} {'was found' if one.is_present else 'was not found'}."
    for one in taken:
        yield f"{_inspected(one, names)} is no longer counted."


def _inspected(finding: FindingFact, names: Mapping[str, str]) -> str:
    name = names.get(finding.cause, finding.cause)
    return f"{name} at {finding.component}" if finding.component else name


def _remarks(added: list[str], taken: list[str], _names: Mapping[str, str]) -> Iterable[str]:
    if added:
        yield f"Said of the case: {', '.join(sorted(added))}."
    if taken:
        yield f"No longer said: {', '.join(sorted(taken))}."


def _listed(stations: list[str]) -> str:
    more = len(stations) - _MOST_NAMED
    named = ", ".join(stations[:_MOST_NAMED])
    return f"{named} and {more} more" if more > 0 else named


_KINDS: dict[str, Callable[[list[Any], list[Any], Mapping[str, str]], Iterable[str]]] = {
    "sightings": _sightings,
    "timed_looks": _timed_looks,
    "findings": _findings,
    "remarks": _remarks,
}
