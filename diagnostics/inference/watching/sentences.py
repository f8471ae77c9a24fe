"""What a timed look says, in sentences for the person who made it."""

import math
from collections.abc import Iterable

from diagnostics.inference.evidence import ConveyorFacts, TimedLook
from diagnostics.inference.vocabulary import TimedLookKind
from diagnostics.inference.watching.placing import POINT_M
from diagnostics.inference.watching.reading import WatchReading
from diagnostics.inference.watching.travel import ASKED_PASSES
from diagnostics.inference.watching.weighed import MOST_TURNS

# From 3 to 1 on something is said; less is called open.
_TELLS = math.log(3)
# Beyond this the factor itself says nothing more.
_MOST_TIMES = 1000
_CERTAIN = 1.96


def sentences_of(
    reading: WatchReading, look: TimedLook, conveyor: ConveyorFacts
) -> tuple[str, ...]:
    """Everything the look says, the answer first, then the figures behind it.

    Parameters
    ----------
    reading : WatchReading
    look : TimedLook
    conveyor : ConveyorFacts
        Belt length, speed and the words for its sides.
    """
    return (
        *_answer(reading, conveyor),
        *_place(reading),
        *_passes(reading),
        *_turn(reading, conveyor),
        *_shares(reading),
        *_direction(look),
    )


def _answer(reading: WatchReading, conveyor: ConveyorFacts) -> Iterable[str]:
    travel, weighed = reading.travel, reading.weighed
    if weighed.is_sparse:
        yield "Too few samples to fold: sample at least once for every few metres of belt."
    elif travel.is_too_short:
        asked_min = ASKED_PASSES * reading.turn.seconds / 60
        yield (
            f"Too short to tell: {travel.passes:.1f} turns of the belt were watched. "
            f"{ASKED_PASSES} turns are asked for, {asked_min:.1f} minutes on this belt; less than "
            "two say nothing."
        )
    elif weighed.is_minor:
        yield (
            f"Something comes round with the belt, but it moves it only {travel.bump_mm:.0f} mm: "
            "little against what stays, and hardly what was complained of."
        )
    elif travel.log_ratio >= _TELLS:
        over, times = _over(reading, conveyor), _times(travel.log_ratio)
        yield f"Something travels with the belt: {over}{times}."
    elif travel.log_ratio <= -_TELLS:
        yield (
            "Nothing came round with the belt"
            f"{_times(-travel.log_ratio)}: look for what stays in place."
        )
    else:
        yield (
            "It cannot be told whether anything travels with the belt. Watch it again, for five "
            "turns or more, where it stands off most."
        )


def _over(reading: WatchReading, conveyor: ConveyorFacts) -> str:
    travel = reading.travel
    side = f" to the {conveyor.side_in_words(travel.side)}" if travel.side else ""
    if travel.bump_mm is None:
        return f"it moves over{side} at the same moment of each turn"
    extent_m = reading.weighed.extent_m
    about = f" over about {extent_m:.0f} m of belt" if extent_m else ""
    return f"it moves over {travel.bump_mm:.0f} mm{side}{about} at the same moment of each turn"


def _times(log_ratio: float) -> str:
    times = math.exp(log_ratio)
    said = f"{times:.0f} times" if times < _MOST_TIMES else f"over {_MOST_TIMES} times"
    return f" (what was seen is {said} as likely so as otherwise)"


def _place(reading: WatchReading) -> Iterable[str]:
    travel, extent_m = reading.travel, reading.weighed.extent_m
    if travel.is_too_short or travel.log_ratio <= 0:
        return
    if travel.belt_position_m is None:
        yield (
            "No pass of the reference splice was noted, so that no place on the belt is known. "
            "Note at least one pass next time."
        )
        return
    within_m = _CERTAIN * travel.spread_m
    yield (
        f"It sits {travel.belt_position_m:.1f} m ahead of the reference splice on the belt, within "
        f"{within_m:.1f} m either way (95 %){_near_splice(reading, within_m)}."
    )
    if extent_m is not None and extent_m > POINT_M:
        yield (
            f"It shows over about {extent_m:.0f} m of belt. If a whole section is cambered or was "
            "patched, its middle is known only to about half its length."
        )


def _near_splice(reading: WatchReading, within_m: float) -> str:
    near = reading.splice_near
    if near is None:
        return ""
    way = "ahead of" if near.ahead_m >= 0 else "behind"
    if abs(near.ahead_m) <= within_m:
        return f": {near.name} lies within that, {abs(near.ahead_m):.1f} m away"
    if near.is_reference and near.ahead_m > 0:
        return "; no other splice is nearer"
    return f"; the nearest splice is {near.name}, and it sits {abs(near.ahead_m):.1f} m {way} it"


def _passes(reading: WatchReading) -> Iterable[str]:
    travel = reading.travel
    if travel.is_too_short:
        return
    short = ""
    if reading.is_short:
        short = f" {ASKED_PASSES} are the minimum to be sure: watch once more, longer."
    cut = f" The first {MOST_TURNS:.0f} of them were folded." if reading.is_cut else ""
    yield f"{travel.passes:.1f} turns of the belt were watched.{cut}{short}"


def _turn(reading: WatchReading, conveyor: ConveyorFacts) -> Iterable[str]:
    turn, length_m, speed_mps = reading.turn, conveyor.belt.length_m, abs(conveyor.speed_mps)
    register = f"{turn.register_s:.1f} s ({length_m:g} m at {speed_mps:g} m/s)"
    if not turn.is_measured:
        yield f"Nothing told how long a turn takes; the register's {register} were taken."
        return
    by = " and ".join(
        word
        for word, is_so in (
            ("the passes of the splice", turn.from_splice),
            ("the movement itself", turn.from_fold),
        )
        if is_so
    )
    yield (
        f"Once round takes {turn.seconds:.1f} s ({turn.lower_s:.1f} to {turn.upper_s:.1f} s, by "
        f"{by}); the register says {register}."
    )
    if turn.disagrees:
        yield (
            "That does not agree: the belt length or the speed in the register may be wrong. At "
            f"{length_m:g} m the belt would run {length_m / turn.seconds:.2f} m/s; at "
            f"{speed_mps:g} m/s it would be {speed_mps * turn.seconds:.1f} m long."
        )


def _shares(reading: WatchReading) -> Iterable[str]:
    shares = reading.shares
    if shares is None:
        return
    yield (
        f"Of the movement about the centre line {_percent(shares.fixed)} stays in place, "
        f"{_percent(shares.travelling)} comes round with the belt, {_percent(shares.rest)} does "
        "neither (shares of the mean square)."
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _direction(look: TimedLook) -> Iterable[str]:
    if look.is_running_backwards:
        what = "taps" if look.kind is TimedLookKind.TAPS else "log"
        yield (
            f"The belt ran backwards: the {what} was read the other way round, so that places on "
            "the belt are as in carrying travel."
        )
