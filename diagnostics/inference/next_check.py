"""What to look at next: how much each check would tell, for its minutes.

Information is the expected loss of entropy over the suspicions, in bits.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from diagnostics.inference.answer import NextCheck, Onset
from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.close_looks import FINDING_RATIO
from diagnostics.inference.correction import where_of
from diagnostics.inference.evidence import ConveyorFacts, Evidence
from diagnostics.inference.fault_families import FaultFamilies
from diagnostics.inference.ranking import Entry
from diagnostics.inference.readings import READING_MM
from diagnostics.inference.timed_look import ASKED_PASSES, Travel
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass, LoadState
from diagnostics.mechanics.nodes import Floats
from plant.loop.parts import Station
from plant.loop.path import belt_revolution_time_s
from plant.loop.walking import walking_stations

MOST_CHECKS = 8
# Some confirming checks are always among them, for they settle a cause though they need a stop;
# and of single stations only the best, for they tell much the same.
STOPS_SHOWN, STATIONS_SHOWN = 3, 3
# Suspicions below this are not worth a check of their own, and this many are weighed;
# engineering judgement.
LEAST_PROBABILITY = 0.02
MOST_CONFIRMED = 12
# Walking to a station and looking; waiting for the other load state; setting up a timed look;
# engineering judgement. [min]
LOOK_MIN, OTHER_STATE_MIN, SET_UP_MIN = 2.0, 10.0, 3.0
# Unread stations are proposed this near to the onset or a suspicion. [m]
NEARBY_M = 40.0
# Stations looked at anew in the other load state.
FEW_STATIONS = 5
# How often a timed look of three turns is wrong; engineering judgement from simulated watches.
TIMED_LOOK_WRONG = 0.05
# What else moves a reading beside the error of the eye; engineering judgement. [mm]
_OTHER_MM = 12.0
_STATION_READ_M = 1.0


@dataclass(frozen=True)
class Situation:
    """What the checks are weighed against; `shares` is the probability of each class."""

    evidence: Evidence
    entries: tuple[Entry, ...]
    shares: Mapping[CauseClass, float]
    onset: Onset | None
    travel: Travel | None


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


def _stations(situation: Situation) -> Iterable[NextCheck]:
    """Unread stations near the onset and the likeliest places, in the load state seen most."""
    evidence = situation.evidence
    load = _usual_load(evidence)
    stations = _unread(situation, load)
    if not stations:
        return
    told = _information_of_looks(situation, tuple((one, load) for one in stations))
    best = sorted(zip(stations, told, strict=True), key=lambda one: (-one[1], one[0].position_m))
    for station, bits in best[:STATIONS_SHOWN]:
        yield NextCheck(
            what=f"Look where the belt runs, {load}.",
            where=_place_of(station),
            minutes=LOOK_MIN,
            needs_stop=False,
            information=float(bits),
        )


def _other_state(situation: Situation) -> Iterable[NextCheck]:
    evidence = situation.evidence
    seen = {one.load for one in evidence.sightings}
    if len(seen) != 1:
        return
    load = LoadState.EMPTY if LoadState.LOADED in seen else LoadState.LOADED
    stations = _nearest(situation, list(evidence.conveyor.loop.stations), FEW_STATIONS, read=True)
    if not stations:
        return
    bits = float(np.sum(_information_of_looks(situation, tuple((one, load) for one in stations))))
    yield NextCheck(
        what=f"Look again at these stations with the belt {load}.",
        where=", ".join(one.name for one in stations),
        minutes=OTHER_STATE_MIN + LOOK_MIN * len(stations),
        needs_stop=False,
        information=min(bits, _spread_of(situation)),
    )


def _usual_load(evidence: Evidence) -> LoadState:
    loaded = sum(one.load is LoadState.LOADED for one in evidence.sightings)
    return LoadState.LOADED if 2 * loaded >= len(evidence.sightings) else LoadState.EMPTY


def _unread(situation: Situation, load: LoadState) -> list[Station]:
    evidence = situation.evidence
    loop = evidence.conveyor.loop
    read = [one.position_m for one in evidence.sightings if one.load is load]
    route = [
        one
        for one in walking_stations(loop, about=60)
        if not any(loop.apart_m(one.position_m, place) <= _STATION_READ_M for place in read)
    ]
    return _nearest(situation, route, 2 * MOST_CHECKS)


def _nearest(
    situation: Situation, stations: list[Station], count: int, *, read: bool = False
) -> list[Station]:
    """Stations nearest to the onset and to the likeliest places."""
    evidence = situation.evidence
    loop = evidence.conveyor.loop
    if read:
        places = {one.station.casefold() for one in evidence.sightings}
        stations = [one for one in stations if one.name.casefold() in places]
    centres = [
        one.position_m
        for one in sorted(situation.entries, key=lambda one: -one.probability)[:3]
        if one.position_m is not None
    ]
    if situation.onset is not None:
        centres.append(situation.onset.position_m)
    if not centres:
        return stations[:count]
    near = [
        (min(loop.apart_m(one.position_m, centre) for centre in centres), one) for one in stations
    ]
    near = sorted(near, key=lambda one: (one[0], one[1].position_m))
    return [station for way, station in near if read or way <= NEARBY_M][:count]


def _information_of_looks(
    situation: Situation, looks: tuple[tuple[Station, LoadState], ...]
) -> Floats:
    """Bits that each look would tell about the suspicions.

    Notes
    -----
    Between suspicions the expected reading varies by v, beside an error of variance e:
    ``log2(1 + v / e) / 2``, the information of a normal signal in normal noise, and never more
    than the entropy of the suspicions.
    """
    predicted, weights = _predicted_mm(situation, looks)
    mean = predicted @ weights
    between = ((predicted - mean[:, None]) ** 2) @ weights
    bits: Floats = 0.5 * np.log2(1 + between / (READING_MM**2 + _OTHER_MM**2))
    return np.minimum(bits, _spread_of(situation))


def _spread_of(situation: Situation) -> float:
    """Entropy of the suspicions. [bit]"""
    shares = [one.probability for one in situation.entries if one.probability > 0]
    whole = sum(shares)
    return -sum(one / whole * math.log2(one / whole) for one in shares) if whole > 0 else 0.0


def _predicted_mm(
    situation: Situation, looks: tuple[tuple[Station, LoadState], ...]
) -> tuple[Floats, Floats]:
    """Expected reading under each suspicion, shape (looks, entries), and their weights."""
    conveyor: ConveyorFacts = situation.evidence.conveyor
    faults = FaultFamilies(
        conveyor,
        models_of(conveyor, sorted({load for _, load in looks})),
        np.array([station.position_m for station, _ in looks]),
        tuple(load for _, load in looks),
    )
    families = faults.families()
    predicted = np.zeros((len(looks), len(situation.entries)))
    for number, entry in enumerate(situation.entries):
        if entry.column is not None and entry.amplitude is not None:
            family, candidate = entry.column
            influence = families[family].influence_mm[:, candidate]
            predicted[:, number] = influence * entry.amplitude
    weights = np.array([one.probability for one in situation.entries])
    whole = weights.sum()
    return predicted, weights / whole if whole > 0 else weights


def _place_of(station: Station) -> str:
    return f"{station.name} at {station.position_m:.1f} m on the {station.run} run"
