"""From the probabilities of single places to entries a person can read: one per cause and stretch.

Neighbouring idlers cannot be told apart by what they do to the belt; within one reach they are one
entry, placed at the middle of its probability.
"""

import heapq
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.causes import Cause
from diagnostics.inference.evidence import Evidence
from diagnostics.inference.onset import is_off
from diagnostics.inference.onset_place import REACH_M
from diagnostics.inference.places import Places
from diagnostics.inference.scoring import Standing
from diagnostics.inference.timed_look import Travel
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass, Persistence
from diagnostics.mechanics.nodes import Floats
from plant.loop.vocabulary import Side, Zone
from plant.loop.zones import Stretch, stretches, zone_in

# Entries beyond these say nothing; their probabilities are left out of the list, not spread over
# the rest, so that `classes` sums to 1 and `ranked` to a little less.
MOST_ENTRIES = 60
# The one cause that a bow of the structure explains; its size is that of the bow.
BOWED = "structure_bowed"
_LOWER, _UPPER = 0.05, 0.95
# Readings that cancel each other leave no size to tell of; in each unit. [deg, mm]
_LEAST_SIZE = 0.01


@dataclass(frozen=True)
class Entry:
    """One cause at one place, before it is put into words.

    Attributes
    ----------
    cause : Cause
    probability : float
    log_fit : float
        How many times better than the average suspicion it explains what was seen, as a natural
        logarithm.
    zone, component, position_m, lower_m, upper_m
        None for what travels with the belt or acts along all of it.
    belt_position_m : float or None
    side : Side or None
        To which the belt is driven.
    amplitude : float or None
        Expected size with its sign, positive to the right. [unit of the family]
    size, size_unit
        Its magnitude where it is in the cause's own unit.
    column : tuple of int or None
        Family and candidate that stand for the entry when its effect elsewhere is asked for.
    members : tuple of int
        Which of the candidate places of the cause the entry is made of.
    """

    cause: Cause
    probability: float
    log_fit: float
    zone: Zone | None = None
    component: str | None = None
    position_m: float | None = None
    lower_m: float | None = None
    upper_m: float | None = None
    belt_position_m: float | None = None
    side: Side | None = None
    amplitude: float | None = None
    size: float | None = None
    size_unit: str | None = None
    column: tuple[int, int] | None = None
    members: tuple[int, ...] = (0,)


def class_shares(standings: Iterable[Standing]) -> dict[CauseClass, float]:
    """Probability of every class that is possible, largest first."""
    shares: dict[CauseClass, float] = {}
    for one in standings:
        shares[one.cause.cause_class] = shares.get(one.cause.cause_class, 0.0) + one.total
    # The last digit of a sum may lie above 1.
    shares = {name: min(share, 1.0) for name, share in shares.items()}
    return dict(sorted(shares.items(), key=lambda one: (-one[1], one[0])))


def rank(
    evidence: Evidence, standings: tuple[Standing, ...], travel: Travel | None
) -> tuple[Entry, ...]:
    """Entries ordered by the sum of their class, then by their own probability.

    Notes
    -----
    The likeliest `MOST_ENTRIES` are kept, and the best of every class and of every cause that a
    finding names, whatever it has.
    """
    place = {name: number for number, name in enumerate(class_shares(standings))}
    kept = _likeliest(standings)
    wanted = {one.cause for one in evidence.findings} | set(place)
    wanted -= {word for one in kept for word in _words_of(one.standing.cause)}
    for draft in _best_of(standings, wanted):
        words = _words_of(draft.standing.cause)
        if words & wanted:
            wanted -= words
            kept.append(draft)
    zones = stretches(evidence.conveyor.loop)
    entries = [_entry(one, evidence, travel, zones) for one in kept]
    return tuple(
        sorted(
            entries,
            key=lambda one: (
                place[one.cause.cause_class],
                -one.probability,
                one.cause.slug,
                one.position_m or 0.0,
            ),
        )
    )


def _words_of(cause: Cause) -> set[str]:
    """What an entry can be asked for by: its cause and its class."""
    return {cause.slug, cause.cause_class.value}


@dataclass(frozen=True)
class _Draft:
    """An entry to be: some candidate places of one standing."""

    standing: Standing
    index: np.ndarray
    probability: float


def _likeliest(standings: tuple[Standing, ...]) -> list[_Draft]:
    """The first `MOST_ENTRIES`.

    A cause is left as soon as all its remaining places together weigh less than the last of them.
    """
    found: list[tuple[float, int, int, _Draft]] = []
    largest = [-1.0] * MOST_ENTRIES
    for number in sorted(range(len(standings)), key=lambda one: -standings[one].total):
        left = standings[number].total
        for order, draft in enumerate(_drafts(standings[number])):
            found.append((-draft.probability, number, order, draft))
            heapq.heappushpop(largest, draft.probability)
            left -= draft.probability
            if left < largest[0]:
                break
    return [draft for *_, draft in sorted(found, key=lambda one: one[:3])][:MOST_ENTRIES]


def _best_of(standings: tuple[Standing, ...], wanted: set[str]) -> list[_Draft]:
    """The likeliest draft of each cause that is wanted by its own name or its class."""
    asked = [one for one in standings if _words_of(one.cause) & wanted]
    best = [max(_drafts(one), key=lambda draft: draft.probability) for one in asked]
    return sorted(best, key=lambda one: -one.probability)


def _drafts(standing: Standing) -> Iterable[_Draft]:
    if standing.places is not None:
        groups = _clusters(standing.probability, standing.places)
    else:
        groups = (np.array([one]) for one in range(len(standing.probability)))
    for index in groups:
        yield _Draft(standing, index, float(standing.probability[index].sum()))


def _entry(
    draft: _Draft, evidence: Evidence, travel: Travel | None, zones: tuple[Stretch, ...]
) -> Entry:
    standing = draft.standing
    if standing.places is not None:
        return _placed(standing, standing.places, draft.index, zones)
    number = int(draft.index[0])
    if standing.cause.cause_class in BELT_CLASSES:
        return _on_belt(standing, number, evidence, travel)
    return Entry(standing.cause, standing.total, float(standing.log_fit[0]))


def _clusters(probability: Floats, places: Places) -> Iterable[np.ndarray]:
    """Indices of the candidates of each entry."""
    if not places.is_group:
        names = np.array(places.components, dtype=object)
        yield from (np.flatnonzero(names == name) for name in dict.fromkeys(places.components))
        return
    # What was gathered already is marked by a probability that no place has.
    left, at = probability.copy(), places.position_m
    while left[top := int(left.argmax())] >= 0:
        members = ((np.abs(at - at[top]) <= REACH_M) & (left >= 0)).nonzero()[0]
        left[members] = -1.0
        yield members


def _placed(
    standing: Standing, places: Places, index: np.ndarray, zones: tuple[Stretch, ...]
) -> Entry:
    probability = standing.probability[index]
    order = index[np.argsort(places.position_m[index], kind="stable")]
    at = places.position_m[order]
    lower, middle, upper = _quantiles(at, standing.probability[order])
    best = int(index[np.argmax(probability)])
    nearest = int(order[np.argmin(np.abs(at - middle))])
    amplitude = _mean(places.amplitude[index], probability)
    is_own_unit = places.unit != "" and places.unit == standing.cause.size_unit
    has_size = (
        is_own_unit
        and abs(amplitude) >= _LEAST_SIZE
        and (places.unit != "mm" or _is_measured_in_mm(standing.cause))
    )
    return Entry(
        cause=standing.cause,
        probability=min(float(probability.sum()), 1.0),
        log_fit=float(standing.log_fit[best]),
        zone=zone_in(zones, middle),
        component=places.components[nearest] or None,
        position_m=middle,
        lower_m=lower,
        upper_m=upper,
        side=Side.of(amplitude) if amplitude else None,
        amplitude=amplitude,
        size=abs(amplitude) if has_size else None,
        size_unit=places.unit if has_size else None,
        column=places.columns[best],
        members=tuple(int(one) for one in index),
    )


def _is_measured_in_mm(cause: Cause) -> bool:
    """Millimetres of a bow and of a load; other causes count other millimetres."""
    return cause.slug == BOWED or cause.cause_class is CauseClass.LOADING


def _mean(values: Floats, weights: Floats) -> float:
    whole = float(weights.sum())
    return float(values @ weights) / whole if whole > 0 else float(values.mean())


def _quantiles(at: Floats, weights: Floats) -> tuple[float, float, float]:
    """5 %, 50 % and 95 % places of a sorted cluster."""
    share = np.cumsum(weights)
    if share[-1] <= 0:
        share = np.arange(1.0, len(at) + 1)
    share = share / share[-1]
    last = len(at) - 1
    lower, middle, upper = (
        float(at[min(int(np.searchsorted(share, wanted)), last)])
        for wanted in (_LOWER, 0.5, _UPPER)
    )
    return lower, middle, upper


def _on_belt(standing: Standing, number: int, evidence: Evidence, travel: Travel | None) -> Entry:
    names = {one.belt_position_m: one.name for one in evidence.conveyor.belt.splices}
    position_m = standing.belt_positions_m[number]
    is_splice = standing.cause.cause_class is CauseClass.BELT_SPLICE
    return Entry(
        cause=standing.cause,
        probability=float(standing.probability[number]),
        log_fit=float(standing.log_fit[number]),
        component=names.get(position_m) if is_splice and position_m is not None else None,
        belt_position_m=position_m,
        side=_travelling_side(evidence, travel),
        members=(number,),
    )


def _travelling_side(evidence: Evidence, travel: Travel | None) -> Side | None:
    """As timed; else the side of the sightings that come and go."""
    if travel is not None and travel.side is not None:
        return travel.side
    clearance_mm = evidence.conveyor.clearance_mm
    total = sum(
        one.offset_or_middle_mm(clearance_mm)
        for one in evidence.sightings
        if one.persistence is Persistence.COMES_AND_GOES and is_off(one, clearance_mm)
    )
    return Side.of(total) if total else None
