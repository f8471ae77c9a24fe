"""Words that all corrections share: where, which way, and what to see afterwards."""

from diagnostics.inference.correction.comebacks import Comeback, in_words
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.ranking import Entry
from diagnostics.inference.vocabulary import BELT_CLASSES, CENTRED_SHARE
from plant.loop.path import belt_revolution_time_s

WAIT_REVOLUTIONS = 3
NO_SHIFT = "nothing is shifted"


def where_of(entry: Entry, conveyor: ConveyorFacts) -> str:
    """The place of an entry in words."""
    if entry.cause.cause_class in BELT_CLASSES:
        if entry.belt_position_m is None:
            return "on the belt, place not yet timed"
        name = f"{entry.component}, " if entry.component else ""
        return f"on the belt, {name}{entry.belt_position_m:.0f} m ahead of the reference splice"
    if entry.position_m is None:
        return "along the whole belt"
    name = f"{entry.component} at " if entry.component else ""
    run = conveyor.loop.run_at(entry.position_m)
    zone = f", {entry.zone}" if entry.zone else ""
    return f"{name}{entry.position_m:.1f} m on the {run} run{zone}"


def look_for(
    entry: Entry, conveyor: ConveyorFacts, comebacks: tuple[Comeback, ...] = (), undo: str = ""
) -> str:
    """What to see after the wait when it was right, and what it means when it is not seen.

    `undo` says what to do with what was moved for nothing.
    """
    within_mm = CENTRED_SHARE * conveyor.clearance_mm
    if entry.cause.cause_class in BELT_CLASSES:
        seen = (
            f"The belt within {within_mm:.0f} mm of the centre at every station, and no move over "
            f"that comes round with it in {WAIT_REVOLUTIONS} turns at one station."
        )
    else:
        place = "at every station" if entry.position_m is None else "there and at the next stations"
        seen = f"The belt within {within_mm:.0f} mm of the centre {place}, empty and loaded."
    back = in_words(comebacks)
    if back:
        seen += f" If it was right, it comes back {back}."
    return f"{seen} {_turns(conveyor)}{_if_not(undo)}"


def _turns(conveyor: ConveyorFacts) -> str:
    turn_s = belt_revolution_time_s(conveyor.belt.length_m, conveyor.speed_mps)
    seconds = WAIT_REVOLUTIONS * turn_s
    takes = f"{seconds:.0f} s" if seconds < 90 else f"{seconds / 60:.0f} min"
    return f"{WAIT_REVOLUTIONS} turns of the belt take about {takes}."


def _if_not(undo: str) -> str:
    then = f"{undo}, and " if undo else ""
    return f" If it has not moved by then, {then}look at the next suspicion: the cause is another."
