"""Whether the evidence supports an answer, and which look would settle it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnostics.inference.evidence import Evidence, Sighting
from diagnostics.inference.feature_words import Feature, LoadWord
from diagnostics.inference.features import all_centred, says_erratic
from diagnostics.inference.onset import is_off
from diagnostics.inference.timed_look import ASKED_PASSES, Travel
from diagnostics.inference.vocabulary import BELT_CLASSES, CauseClass, LoadState, Persistence
from plant.loop.vocabulary import Run

# Below this the first class is a guess; engineering judgement, to be calibrated.
LEAST_FIRST = 0.4
# From this share on a belt fault cannot be left open; engineering judgement.
LEAST_BELT = 0.15
# A walk with fewer stations than this cannot show where the belt goes over; engineering judgement.
FEWEST_STATIONS = 3


@dataclass(frozen=True)
class Sufficiency:
    is_enough: bool
    notes: tuple[str, ...]


def judge(
    evidence: Evidence,
    features: Mapping[str, frozenset[str]],
    shares: Mapping[CauseClass, float],
    travel: Travel | None,
) -> Sufficiency:
    """What is missing; `shares` is the probability of each class, largest first."""
    lacks = [
        *_lacking_sightings(evidence),
        *_contradictions(evidence),
        *_lacking_timed_look(shares, travel),
        *_undecided(evidence, features, shares),
    ]
    return Sufficiency(not lacks, tuple(lacks))


def _lacking_sightings(evidence: Evidence) -> Iterable[str]:
    seen = [one for one in evidence.sightings if not one.is_running_backwards]
    if not evidence.sightings:
        yield (
            "Nothing was seen yet. Walk the belt from the tail along the carrying run to the head "
            "and back along the return run."
        )
    elif not seen:
        yield (
            "The belt was only seen running against carrying travel. Look again while it runs "
            "forward."
        )
    elif (count := len({one.position_m for one in seen})) < FEWEST_STATIONS:
        yield (
            f"Only {count} {'station was' if count == 1 else 'stations were'} looked at. Look at "
            "stations before and after, on both runs, until one is centred."
        )
    elif all_centred(evidence):
        yield (
            "The belt was centred wherever it was looked at. Look again in the other load state, "
            "at a start and a stop, and time one station for three turns of the belt."
        )
    elif says_erratic(evidence):
        yield (
            "No pattern was found. Stay at one station for at least three turns of the belt, "
            "empty and loaded, and note what it does."
        )


def _contradictions(evidence: Evidence) -> Iterable[str]:
    """Off to both sides at one station in one load state, not said to come and go."""
    clearance_mm = evidence.conveyor.clearance_mm
    sides: dict[tuple[str, Run, LoadState], set[bool]] = {}
    for one in evidence.sightings:
        if is_off(one, clearance_mm) and not _may_move(one):
            key = (one.station, one.run, one.load)
            sides.setdefault(key, set()).add(one.offset_or_middle_mm(clearance_mm) > 0)
    for (station, _run, load), found in sides.items():
        if len(found) > 1:
            yield (
                f"{station} was noted off to both sides, {load}. Look there again for three turns "
                "of the belt: it may come and go."
            )


def _may_move(sighting: Sighting) -> bool:
    moving = (Persistence.COMES_AND_GOES, Persistence.NO_PATTERN)
    return sighting.is_running_backwards or sighting.persistence in moving


def _lacking_timed_look(shares: Mapping[CauseClass, float], travel: Travel | None) -> Iterable[str]:
    belt = sum(shares.get(one, 0.0) for one in BELT_CLASSES)
    ask = f"Time one station for at least {ASKED_PASSES} turns of the belt and note each pass of "
    if travel is not None and travel.is_too_short and belt >= LEAST_BELT:
        yield (
            f"The timed look is too short to tell: {travel.passes:.1f} turns of the belt. "
            f"{ask}the reference splice."
        )
    elif travel is None and belt >= LEAST_FIRST:
        yield f"The belt itself is suspected, but nothing was timed. {ask}the reference splice."
    elif travel is not None and belt >= LEAST_FIRST and travel.belt_position_m is None:
        yield f"The belt is suspected, but no place on it is known. {ask}the reference splice."


def _undecided(
    evidence: Evidence,
    features: Mapping[str, frozenset[str]],
    shares: Mapping[CauseClass, float],
) -> Iterable[str]:
    first = max(shares.values(), default=0.0)
    if first >= LEAST_FIRST or not evidence.sightings:
        return
    load = features.get(Feature.LOAD, frozenset())
    other = ""
    if LoadWord.NO_EMPTY in load:
        other = " or in the empty state"
    elif LoadWord.NO_LOADED in load:
        other = " or in the loaded state"
    yield (
        "No group of causes stands out. Look at more stations around where the belt goes "
        f"over{other}; the next checks are in the order of what they would tell."
    )
