"""What to look at next: how much each check would tell, for its minutes.

Information is the expected loss of entropy over the suspicions, in bits.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diagnostics.inference.answer import NextCheck, Onset
from diagnostics.inference.belt_lines import MOST_KEPT
from diagnostics.inference.close_looks import FINDING_RATIO
from diagnostics.inference.correction.words import where_of
from diagnostics.inference.evidence import Evidence
from diagnostics.inference.next_look.best import Look, choose_looks
from diagnostics.inference.next_look.predicted import drawn_suspects
from diagnostics.inference.profile import Profile
from diagnostics.inference.ranking import Entry
from diagnostics.inference.scoring import Standing
from diagnostics.inference.timed_look import ASKED_PASSES, Travel
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass, LoadState
from diagnostics.mechanics.nodes import Floats
from plant.loop.parts import Station
from plant.loop.path import Loop, belt_revolution_time_s
from plant.loop.walking import walking_stations

MOST_CHECKS = 8
# Some confirming checks are always among them, for they settle a cause though they need a stop;
# and of single stations only the best, for they tell much the same.
STOPS_SHOWN, STATIONS_SHOWN = 3, 3
# Suspicions below this are not worth a check of their own, and this many are weighed;
# engineering judgement.
LEAST_PROBABILITY = 0.02
MOST_CONFIRMED = 12
# Waiting for the other load state; setting up a timed look; engineering judgement. [min]
OTHER_STATE_MIN, SET_UP_MIN = 10.0, 3.0
# Stations weighed all along the belt, and idlers around each of the likeliest places.
ROUTE_STATIONS, _CENTRES, _AROUND = 60, 3, 5
# Stations looked at anew in the other load state.
FEW_STATIONS = 5
# How often a timed look of three turns is wrong; engineering judgement from simulated watches.
TIMED_LOOK_WRONG = 0.05
_STATION_READ_M = 1.0
_CLASS_WORDS = {
    CauseClass.CARRYING: "carrying idlers or structure",
    CauseClass.LOADING: "loading",
    CauseClass.TAIL_PULLEY: "the tail pulley",
    CauseClass.HEAD_PULLEY: "the head pulley",
    CauseClass.BEND_PULLEY: "a bend pulley",
    CauseClass.TAKE_UP: "the take-up",
    CauseClass.RETURN_IDLER: "return idlers",
    CauseClass.BELT_SPLICE: "a joint of the belt",
    CauseClass.BELT_SECTION: "a section of the belt",
    CauseClass.SURROUNDINGS: "what rubs or blows",
}


@dataclass(frozen=True)
class Situation:
    """What the checks are weighed against; `shares` is the probability of each class."""

    evidence: Evidence
    entries: tuple[Entry, ...]
    shares: Mapping[CauseClass, float]
    onset: Onset | None
    travel: Travel | None
    standings: tuple[Standing, ...]
    profile: Profile


def next_checks(situation: Situation) -> tuple[NextCheck, ...]:
    """The best checks, those without a stop first, each group by information per minute."""
    found = [
        *_confirmations(situation),
        *_timed_look(situation),
        *_stations(situation),
        *_other_state(situation),
    ]
    told = [one for one in found if one.information > 0]
    ordered = sorted(told, key=lambda one: (one.needs_stop, -one.information / one.minutes))
    quick = [one for one in ordered if not one.needs_stop]
    stopped = [one for one in ordered if one.needs_stop]
    room = MOST_CHECKS - min(len(stopped), STOPS_SHOWN)
    kept = quick[:room]
    return (*kept, *stopped[: MOST_CHECKS - len(kept)])


def binary_information(probability: float, wrong: float) -> float:
    """Bits told about a yes-or-no question by an answer that is wrong so often.

    Parameters
    ----------
    probability : float
        Of yes, before; 0 to 1.
    wrong : float
        Chance of a wrong answer either way, 0 to 0.5.

    Notes
    -----
    Mutual information of a binary symmetric channel: ``h(p (1 - w) + (1 - p) w) - h(w)``; identity.
    """
    heard = probability * (1 - wrong) + (1 - probability) * wrong
    return max(_entropy(heard) - _entropy(wrong), 0.0)


def _entropy(probability: float) -> float:
    if probability <= 0 or probability >= 1:
        return 0.0
    other = 1 - probability
    return -probability * math.log2(probability) - other * math.log2(other)


def _confirmations(situation: Situation) -> Iterable[NextCheck]:
    evidence = situation.evidence
    done = {(one.cause, one.component) for one in evidence.findings}
    likely = sorted(situation.entries, key=lambda one: -one.probability)[:MOST_CONFIRMED]
    for entry in likely:
        cause = entry.cause
        is_done = (cause.slug, entry.component) in done or (cause.slug, None) in done
        if is_done or entry.probability < LEAST_PROBABILITY:
            continue
        yield NextCheck(
            what=cause.confirm.what,
            where=where_of(entry, evidence.conveyor),
            minutes=cause.confirm.minutes,
            needs_stop=cause.confirm.needs_stop,
            information=binary_information(entry.probability, 1 / (1 + FINDING_RATIO)),
        )


def _timed_look(situation: Situation) -> Iterable[NextCheck]:
    travel, conveyor = situation.travel, situation.evidence.conveyor
    if travel is not None and not travel.is_too_short and travel.passes >= ASKED_PASSES:
        return
    belt = sum(situation.shares.get(one, 0.0) for one in BELT_CLASSES)
    turn_s = belt_revolution_time_s(conveyor.belt.length_m, conveyor.speed_mps)
    where = situation.onset.station if situation.onset else "a station where the belt stands off"
    yield NextCheck(
        what=(
            f"Stand at one station for {ASKED_PASSES} turns of the belt, tap when it moves over, "
            "when it comes back and at each pass of the reference splice."
        ),
        where=where,
        minutes=round(ASKED_PASSES * turn_s / 60 + SET_UP_MIN, 1),
        needs_stop=False,
        information=binary_information(belt, TIMED_LOOK_WRONG),
    )


def best_looks(
    situation: Situation,
    count: int,
    *,
    load: LoadState | None = None,
    from_m: float | None = None,
) -> tuple[Look, ...]:
    """The stations worth looking at next, for whoever walks along the belt.

    Parameters
    ----------
    situation : Situation
    count : int
        Wanted; fewer where nothing more would tell anything.
    load : LoadState, optional
        In which to look; that seen most when left out.
    from_m : float, optional
        Loop position at which the person stands; where the belt goes over when left out. [m]

    Returns
    -------
    tuple of Look
        Unread in that load state, in the order in which they tell most per minute; each counts
        what it tells beside those before it.
    """
    load = load or _usual_load(situation.evidence)
    if from_m is None:
        from_m = 0.0 if situation.onset is None else situation.onset.position_m
    offered = tuple((one, load) for one in _unread(situation, load))
    return choose_looks(
        situation.evidence.conveyor,
        situation.profile,
        drawn_suspects(situation.standings),
        offered,
        count,
        from_m,
    )


def _stations(situation: Situation) -> Iterable[NextCheck]:
    """Unread stations in the load state seen most."""
    for look in best_looks(situation, STATIONS_SHOWN):
        yield NextCheck(
            what=f"Look where the belt runs, {look.load}{_in_order_to(look)}.",
            where=_place_of(look.station),
            minutes=round(look.minutes, 1),
            needs_stop=False,
            information=look.information,
        )


def _other_state(situation: Situation) -> Iterable[NextCheck]:
    evidence = situation.evidence
    seen = {one.load for one in evidence.sightings}
    if len(seen) != 1:
        return
    load = LoadState.EMPTY if LoadState.LOADED in seen else LoadState.LOADED
    looks = best_looks(situation, FEW_STATIONS, load=load)
    if not looks:
        return
    yield NextCheck(
        what=f"Look again at these stations with the belt {load}{_in_order_to(looks[0])}.",
        where=", ".join(one.station.name for one in looks),
        minutes=round(OTHER_STATE_MIN + sum(one.minutes for one in looks), 1),
        needs_stop=False,
        information=sum(one.information for one in looks),
    )


def _in_order_to(look: Look) -> str:
    if len(look.tells) < 2:
        return ""
    one, other = (_CLASS_WORDS[name] for name in look.tells)
    return f": it would tell {one} from {other}"


def _usual_load(evidence: Evidence) -> LoadState:
    loaded = sum(one.load is LoadState.LOADED for one in evidence.sightings)
    return LoadState.LOADED if 2 * loaded >= len(evidence.sightings) else LoadState.EMPTY


def _unread(situation: Situation, load: LoadState) -> list[Station]:
    """The walking route, and the idlers nearest to the likeliest places."""
    evidence = situation.evidence
    loop = evidence.conveyor.loop
    read = np.array([one.position_m for one in evidence.sightings if one.load is load])
    offered = dict.fromkeys((*_route(loop), *_nearby(situation)))
    return [
        one
        for one in offered
        if not np.any(_apart_m(loop, read, one.position_m) <= _STATION_READ_M)
    ]


def _nearby(situation: Situation) -> Iterable[Station]:
    loop = situation.evidence.conveyor.loop
    stations, at = _idlers(loop)
    likely = sorted(situation.entries, key=lambda one: -one.probability)
    centres = [one.position_m for one in likely if one.position_m is not None][:_CENTRES]
    for centre in centres:
        near = np.argsort(_apart_m(loop, at, centre), kind="stable")
        yield from (stations[one] for one in near[:_AROUND])


def _apart_m(loop: Loop, positions_m: Floats, position_m: float) -> Floats:
    way = (positions_m - position_m) % loop.length_m
    return np.minimum(way, loop.length_m - way)


@lru_cache(maxsize=MOST_KEPT)
def _route(loop: Loop) -> tuple[Station, ...]:
    return walking_stations(loop, about=ROUTE_STATIONS)


@lru_cache(maxsize=MOST_KEPT)
def _idlers(loop: Loop) -> tuple[tuple[Station, ...], Floats]:
    """Every idler set with its place."""
    found = tuple(one for part in loop.parts if part.is_idler for one in part.stations())
    return found, np.array([one.position_m for one in found])


def _place_of(station: Station) -> str:
    return f"{station.name} at {station.position_m:.1f} m on the {station.run} run"
