"""The words of the rules that hold for one case's evidence."""

from collections.abc import Mapping
from itertools import pairwise

from diagnostics.inference.evidence import BeltFacts, ConveyorFacts, Evidence, Sighting
from diagnostics.inference.feature_words import (
    ConveyorWord,
    DirectionWord,
    Feature,
    LoadWord,
    Remark,
    TravelWord,
)
from diagnostics.inference.onset import is_off
from diagnostics.inference.onset_place import onset_words
from diagnostics.inference.timed_look import Travel
from diagnostics.inference.vocabulary import LoadState, Pattern, Persistence
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind, Run, TakeUpKind

# From this share of the clearance on a single reading is no slip of the eye; the boundary of
# "half" over.
_SURELY_OFF_SHARE = 0.4
# Two readings of a reversing belt compare when taken this close together; engineering judgement.
_SAME_PLACE_M = 5.0
# A timed look decides about travelling from this log likelihood ratio on: 3 to 1.
_DECIDES = 1.1
# The extreme comes with a splice when it is this near; three standard deviations of a good look.
_AT_SPLICE_M = 5.0


def features_of(evidence: Evidence, travel: Travel | None) -> Mapping[str, frozenset[str]]:
    """Every feature with its words that hold; a feature nothing is known of has none.

    Parameters
    ----------
    evidence : Evidence
    travel : Travel or None
        The timed look that says most, None when there is none.
    """
    load = load_words(evidence)
    return {
        Feature.ONSET: onset_words(evidence.conveyor, evidence.sightings),
        Feature.PATTERN: _pattern_words(evidence, travel, load),
        Feature.LOAD: load,
        Feature.TRAVEL: _travel_words(evidence.conveyor.belt, travel),
        Feature.DIRECTION: _direction_words(evidence),
        Feature.CONVEYOR: conveyor_words(evidence.conveyor),
        Feature.REMARKS: frozenset(Remark) & evidence.remarks,
    }


def load_words(evidence: Evidence) -> frozenset[str]:
    """How the two load states compare; none when neither stands off."""
    seen = {load: _forward(evidence, load) for load in LoadState}
    if not seen[LoadState.LOADED]:
        return frozenset({LoadWord.NO_LOADED} if seen[LoadState.EMPTY] else ())
    if not seen[LoadState.EMPTY]:
        return frozenset({LoadWord.NO_EMPTY})
    loaded, empty = (
        _stands_off(seen[load], evidence.conveyor.clearance_mm)
        for load in (LoadState.LOADED, LoadState.EMPTY)
    )
    words = {
        (True, True): LoadWord.BOTH,
        (True, False): LoadWord.ONLY_LOADED,
        (False, True): LoadWord.ONLY_EMPTY,
    }
    return frozenset({words[loaded, empty]} if (loaded, empty) in words else ())


def _forward(evidence: Evidence, load: LoadState) -> list[Sighting]:
    return sorted(
        (one for one in evidence.sightings if one.load is load and not one.is_running_backwards),
        key=lambda one: one.position_m,
    )


def _stands_off(sightings: list[Sighting], clearance_mm: float) -> bool:
    """One reading well over, or two neighbours off to the same side: no slip of the eye."""
    offsets = [one.offset_or_middle_mm(clearance_mm) for one in sightings]
    if any(abs(one) >= _SURELY_OFF_SHARE * clearance_mm for one in offsets):
        return True
    off = [
        offset if is_off(one, clearance_mm) else 0.0
        for one, offset in zip(sightings, offsets, strict=True)
    ]
    return any(one * other > 0 for one, other in pairwise(off))


def says_erratic(evidence: Evidence) -> bool:
    """The case as a whole, or most of its off-centre sightings, are said to have no pattern."""
    return Remark.ERRATIC in evidence.remarks or _mostly(evidence, Persistence.NO_PATTERN)


def _mostly(evidence: Evidence, persistence: Persistence, least: int = 2) -> bool:
    """More than half of so many or more remarked off-centre sightings say so."""
    clearance_mm = evidence.conveyor.clearance_mm
    said = [
        one.persistence
        for one in evidence.sightings
        if one.persistence is not None and is_off(one, clearance_mm)
    ]
    return len(said) >= least and 2 * said.count(persistence) > len(said)


def all_centred(evidence: Evidence) -> bool:
    clearance_mm = evidence.conveyor.clearance_mm
    return bool(evidence.sightings) and not any(
        is_off(one, clearance_mm) for one in evidence.sightings
    )


def _pattern_words(
    evidence: Evidence, travel: Travel | None, load: frozenset[str]
) -> frozenset[str]:
    """What the evidence itself says; the ranking may still come to another pattern."""
    words: set[str] = set()
    if all_centred(evidence):
        words.add(Pattern.CENTRED)
    if Remark.STARTS_AND_STOPS in evidence.remarks:
        words.add(Pattern.START_STOP)
    if says_erratic(evidence):
        words.add(Pattern.ERRATIC)
    timed = 0.0 if travel is None else travel.log_ratio
    if timed >= _DECIDES or (timed > -_DECIDES and _mostly(evidence, Persistence.COMES_AND_GOES)):
        words.add(Pattern.TRAVELLING)
    if LoadWord.ONLY_LOADED in load:
        words.add(Pattern.LOAD_DEPENDENT)
    # One steady sighting is the plain case; coming and going asks for a second one.
    steady = _mostly(evidence, Persistence.STEADY, 1) and timed < _DECIDES
    if not words and (steady or timed <= -_DECIDES):
        words.add(Pattern.FIXED)
    return frozenset(words)


def _travel_words(belt: BeltFacts, travel: Travel | None) -> frozenset[str]:
    if travel is None or travel.is_too_short:
        return frozenset({TravelWord.NOT_TIMED})
    if travel.log_ratio <= 0:
        return frozenset()
    if travel.belt_position_m is None:
        return frozenset({TravelWord.NOT_TIMED})
    near = max(_AT_SPLICE_M, 2 * travel.spread_m)
    is_near = splice_distance_m(belt, travel.belt_position_m) <= near
    return frozenset({TravelWord.WITH_SPLICE if is_near else TravelWord.NOT_WITH_SPLICE})


def splice_positions_m(belt: BeltFacts) -> tuple[float, ...]:
    """Belt positions of the splices; the reference splice when the register names none. [m]"""
    return tuple(one.belt_position_m for one in belt.splices) or (0.0,)


def splice_distance_m(belt: BeltFacts, belt_position_m: float) -> float:
    """Shortest way along the belt to the nearest splice. [m]"""
    ways = [(belt_position_m - one) % belt.length_m for one in splice_positions_m(belt)]
    return min(min(way, belt.length_m - way) for way in ways)


def _direction_words(evidence: Evidence) -> frozenset[str]:
    """Readings of a reversing belt at one place, both ways, each off centre."""
    conveyor = evidence.conveyor
    off = [one for one in evidence.sightings if is_off(one, conveyor.clearance_mm)]
    votes = [
        one.offset_or_middle_mm(conveyor.clearance_mm)
        * other.offset_or_middle_mm(conveyor.clearance_mm)
        for one in off
        for other in off
        if one.is_running_backwards
        and not other.is_running_backwards
        and one.load is other.load
        and conveyor.loop.apart_m(one.position_m, other.position_m) <= _SAME_PLACE_M
    ]
    if not votes:
        return frozenset()
    same = sum(1 if vote > 0 else -1 for vote in votes)
    if same == 0:
        return frozenset()
    return frozenset({DirectionWord.SAME_SIDE if same > 0 else DirectionWord.OTHER_SIDE})


def conveyor_words(conveyor: ConveyorFacts) -> frozenset[str]:
    """What stands on this conveyor, in the words that rules and causes ask for."""
    loop = conveyor.loop
    has_take_up = bool(loop.of_kind(ComponentKind.TAKE_UP_PULLEY))
    holds = {
        ConveyorWord.REVERSING: conveyor.is_reversing,
        ConveyorWord.GRAVITY_TAKE_UP: has_take_up and conveyor.take_up_kind is TakeUpKind.GRAVITY,
        ConveyorWord.HORIZONTAL_TAKE_UP: has_take_up
        and conveyor.take_up_kind is TakeUpKind.HORIZONTAL,
        ConveyorWord.SCREW_TAKE_UP: conveyor.take_up_kind is TakeUpKind.SCREW,
        ConveyorWord.SELF_ALIGNING_CARRYING: _aligns(loop, Run.CARRYING),
        ConveyorWord.SELF_ALIGNING_RETURN: _aligns(loop, Run.RETURN),
        ConveyorWord.VEE_RETURN: conveyor.return_vee_deg > 0
        or bool(loop.of_kind(ComponentKind.VEE_RETURN_IDLERS)),
        ConveyorWord.FLAT_RETURN: conveyor.return_vee_deg == 0
        and bool(loop.of_kind(ComponentKind.RETURN_IDLERS)),
        ConveyorWord.SNUB: bool(loop.of_kind(ComponentKind.SNUB_PULLEY)),
        ConveyorWord.BEND: bool(loop.of_kind(ComponentKind.BEND_PULLEY)),
        ConveyorWord.RETURN_DRIVE: any(
            one.run is Run.RETURN for one in loop.of_kind(ComponentKind.DRIVE_PULLEY)
        ),
        ConveyorWord.CLEANER: bool(loop.of_kind(ComponentKind.BELT_CLEANER)),
        ConveyorWord.PLOUGH: bool(loop.of_kind(ComponentKind.PLOUGH)),
        ConveyorWord.SKIRTBOARD: bool(loop.of_kind(ComponentKind.SKIRTBOARD))
        or any(one.length_m for one in loop.of_kind(ComponentKind.LOAD_POINT)),
        ConveyorWord.STEEL_CORD: conveyor.belt.carcass.upper().startswith("ST"),
    }
    return frozenset(word for word, holds_here in holds.items() if holds_here)


def _aligns(loop: Loop, run: Run) -> bool:
    return any(one.run is run for one in loop.of_kind(ComponentKind.SELF_ALIGNING_IDLER))
