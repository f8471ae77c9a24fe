"""What must be watched after the work, and what the looks say about it; pure.

A belt counts as centred below `CENTRED_SHARE` of its clearance. Three turns of it are watched empty
and three loaded, at the stations that were off before and at the place of the work.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from diagnostics.inference.vocabulary import CENTRED_SHARE, LoadState

# One turn shows a splice once; three tell the belt's own wander from a place that was not mended.
LEAST_REVOLUTIONS = 3
# More stations than these nobody watches for three turns; engineering judgement.
MOST_STATIONS = 10


@dataclass(frozen=True)
class Look:
    """One station in one load state; `offset_share` of the clearance, positive right."""

    station: str
    position_m: float
    load: LoadState
    offset_share: float

    @property
    def is_off(self) -> bool:
        return abs(self.offset_share) >= CENTRED_SHARE


@dataclass(frozen=True)
class Watched:
    """A station to be watched; `was_share` is the furthest it was off before, None: not known."""

    station: str
    position_m: float
    was_share: float | None


@dataclass(frozen=True)
class Verdict:
    """What the looks say: `off` is still off centre, `missing` was not watched yet."""

    off: tuple[Look, ...]
    missing: tuple[tuple[str, LoadState], ...]
    turns_missing: tuple[LoadState, ...]

    @property
    def passes(self) -> bool:
        return not (self.off or self.missing or self.turns_missing)


def stations_to_watch(
    before: Iterable[Look],
    *,
    place: str = "",
    place_m: float | None = None,
    known: Sequence[tuple[str, float]] = (),
) -> tuple[Watched, ...]:
    """The stations that were off before the work, furthest off first to be kept, and its place.

    Parameters
    ----------
    before : iterable of Look
        The last looks before the work, any load state.
    place : str
        Station or component of the work; empty: none.
    place_m : float or None
        Its loop position. [m]
    known : sequence of (str, float)
        All stations with their loop positions [m], to find the one at the place.

    Returns
    -------
    tuple of Watched
        At most MOST_STATIONS, in the order of travel.
    """
    furthest: dict[str, Look] = {}
    for look in before:
        kept = furthest.get(look.station)
        if look.is_off and (kept is None or abs(look.offset_share) > abs(kept.offset_share)):
            furthest[look.station] = look
    ranked = sorted(furthest.values(), key=lambda one: -abs(one.offset_share))
    chosen = [Watched(one.station, one.position_m, one.offset_share) for one in ranked]
    chosen = chosen[:MOST_STATIONS]
    at_place = _at_place(place, place_m, known)
    if at_place is not None and all(one.station != at_place.station for one in chosen):
        chosen = [*chosen[: MOST_STATIONS - 1], at_place]
    return tuple(sorted(chosen, key=lambda one: one.position_m))


def verdict(
    watched: Iterable[Watched], seen: Iterable[Look], revolutions: dict[LoadState, int]
) -> Verdict:
    """What the looks after the work say.

    Parameters
    ----------
    watched : iterable of Watched
    seen : iterable of Look
        Of these and of any other stations: what is off anywhere is off.
    revolutions : dict of LoadState to int
        Turns of the belt that were watched.
    """
    looks = list(seen)
    have = {(one.station, one.load) for one in looks}
    wanted = [(one.station, load) for one in watched for load in LoadState]
    return Verdict(
        off=tuple(one for one in looks if one.is_off),
        missing=tuple(pair for pair in wanted if pair not in have),
        turns_missing=tuple(
            load for load in LoadState if revolutions.get(load, 0) < LEAST_REVOLUTIONS
        ),
    )


def _at_place(
    place: str, place_m: float | None, known: Sequence[tuple[str, float]]
) -> Watched | None:
    if not place and place_m is None:
        return None
    named = [one for one in known if one[0].casefold() == place.casefold()]
    if named:
        return Watched(*named[0], None)
    if place_m is None or not known:
        return None
    nearest = min(known, key=lambda one: abs(one[1] - place_m))
    return Watched(*nearest, None)
