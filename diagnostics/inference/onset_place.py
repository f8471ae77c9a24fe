"""Where the onset lies, in the words of the walk.

The table of the trade sees the open places; a cause may stand up to one reach ahead of the onset.
An onset shortly before a pulley therefore has two words: its own place, and the pulley.
"""

from collections.abc import Iterable

from diagnostics.inference.evidence import ConveyorFacts, Sighting
from diagnostics.inference.feature_words import OnsetPlace
from diagnostics.inference.onset import find_onset, is_off
from plant.loop.parts import Part
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind, Run
from plant.loop.zones import skirt_end_m

# A cause is seen up to about this far before itself; engineering judgement, from the reach of
# idlers and pulleys on usual belts. [m]
REACH_M = 8.0
# "A handful of idlers on": an off-centre load is half developed after 4 to 10 m and nearly whole
# after 16; engineering judgement. [m]
PAST_SKIRTS_M = 15.0
# "A few return idlers later"; engineering judgement. [m]
PAST_HEAD_M = 15.0
# On short belts the stretches near the ends leave at least this share of a run in between.
_SHARE_OF_RUN = 1 / 3


def onset_words(conveyor: ConveyorFacts, sightings: Iterable[Sighting]) -> frozenset[str]:
    """Words of the onset; NOWHERE and EVERYWHERE where there is none."""
    seen = [one for one in sightings if not one.is_running_backwards]
    onset = find_onset(conveyor, seen)
    if onset is not None:
        return frozenset(_words_at(conveyor.loop, onset.position_m, onset.run))
    if not seen:
        return frozenset()
    off = [is_off(one, conveyor.clearance_mm) for one in seen]
    return frozenset({OnsetPlace.EVERYWHERE if all(off) else OnsetPlace.NOWHERE})


def _words_at(loop: Loop, position_m: float, run: Run) -> set[str]:
    # A reading at the seam belongs to the run the walker called it.
    if position_m <= loop.head_m and run is Run.CARRYING:
        return _on_carrying(loop, position_m)
    return _on_return(loop, position_m)


def _on_carrying(loop: Loop, position_m: float) -> set[str]:
    skirts_m = skirt_end_m(loop) or min(REACH_M, loop.head_m * _SHARE_OF_RUN)
    open_m = loop.head_m - skirts_m
    if position_m <= skirts_m:
        return {OnsetPlace.BEFORE_SKIRTS_END}
    if position_m <= skirts_m + min(PAST_SKIRTS_M, open_m * _SHARE_OF_RUN):
        return {OnsetPlace.PAST_SKIRTS}
    if position_m >= loop.head_m - min(REACH_M, open_m * _SHARE_OF_RUN):
        return {OnsetPlace.AT_HEAD, OnsetPlace.CARRYING}
    return {OnsetPlace.CARRYING}


def _on_return(loop: Loop, position_m: float) -> set[str]:
    words: set[str] = {_open_return(loop, position_m)}
    into, take_up, out = _around_take_up(loop)
    if take_up is not None:
        if into is not None and into.first_m - REACH_M <= position_m <= into.first_m:
            # Before the bend above the take-up the bend itself may already show.
            words.add(OnsetPlace.AT_TAKE_UP)
        if out is not None and out.first_m < position_m <= out.first_m + out.arc_m + REACH_M:
            words.add(OnsetPlace.PAST_TAKE_UP)
    if position_m >= loop.tail_m - min(REACH_M, (loop.tail_m - loop.head_m) * _SHARE_OF_RUN):
        words.add(OnsetPlace.ARRIVES_OFF)
    return words


def _open_return(loop: Loop, position_m: float) -> OnsetPlace:
    into, take_up, out = _around_take_up(loop)
    if take_up is not None:
        start = into.first_m if into is not None else take_up.first_m - REACH_M
        end = out.first_m + out.arc_m if out is not None else take_up.first_m + take_up.arc_m
        if start < position_m <= take_up.first_m + take_up.arc_m:
            return OnsetPlace.AT_TAKE_UP
        if take_up.first_m < position_m <= end:
            return OnsetPlace.PAST_TAKE_UP
    near_head = min(PAST_HEAD_M, (loop.tail_m - loop.head_m) * _SHARE_OF_RUN)
    if position_m <= loop.head_m + near_head:
        return OnsetPlace.PAST_HEAD
    bends = [one for one in loop.pulleys if loop.head_m < one.first_m < loop.tail_m]
    if take_up is not None and bends and position_m > bends[-1].first_m:
        return OnsetPlace.LAST_RETURN
    return OnsetPlace.RETURN


def _around_take_up(loop: Loop) -> tuple[Part | None, Part | None, Part | None]:
    """The bend before the take-up, the take-up pulley, the bend after it."""
    take_ups = loop.of_kind(ComponentKind.TAKE_UP_PULLEY)
    if not take_ups:
        return None, None, None
    take_up = take_ups[0]
    bends = loop.of_kind(ComponentKind.BEND_PULLEY)
    before = [one for one in bends if loop.head_m < one.first_m < take_up.first_m]
    after = [one for one in bends if one.first_m > take_up.first_m]
    return before[-1] if before else None, take_up, after[0] if after else None
