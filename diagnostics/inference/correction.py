"""The first step of a mend: what to move, where, how far, which way; then three turns and a look.

Signs, the same on both runs: the end of an idler toward which the belt has run is advanced in the
local direction of belt travel, which is toward the head on the carrying run and toward the tail on
the return run. Pulleys are set square and level and left there; none is shifted to train a belt.
"""

import math

from diagnostics.inference.answer import Correction
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.ranking import Entry
from diagnostics.inference.vocabulary import BELT_CLASSES, CENTRED_SHARE
from plant.loop.parts import Part, Station
from plant.loop.vocabulary import IDLERS, ComponentKind, Run, Side

# First step at each idler; engineering judgement. [mm]
SMALLEST_STEP_MM = 2.0
LARGEST_STEP_MM = 3.0
# No idler is ever turned farther than this; common practice for the tilt of troughing sets. [deg]
MOST_DEG = 2.0
# Shifts are spread over so many idlers before the trouble; common practice, no source.
SPREAD_OVER = {Run.CARRYING: 4, Run.RETURN: 3}
WAIT_REVOLUTIONS = 3
_SHIFTED_IDLERS = frozenset({"troughing idler", "return idler"})
NO_SHIFT = "nothing is shifted"


def correction_for(entry: Entry, conveyor: ConveyorFacts) -> Correction | None:
    """What to do first about an entry.

    Parameters
    ----------
    entry : Entry
    conveyor : ConveyorFacts

    Returns
    -------
    Correction or None
        `move_mm` is None where the mend is no shift, or where the shift has to be measured first.
        None when the catalogue knows no mend.
    """
    cause = entry.cause
    if cause.shift in _SHIFTED_IDLERS and entry.side is not None and entry.position_m is not None:
        return _shift_idlers(entry, conveyor, entry.side, entry.position_m)
    if cause.shift is not None and entry.side is not None and entry.component is not None:
        return _square_pulley(entry, conveyor, entry.side)
    if not cause.correct:
        return None
    return Correction(
        what=cause.correct,
        where=where_of(entry, conveyor),
        move_mm=None,
        direction=NO_SHIFT,
        wait_revolutions=WAIT_REVOLUTIONS,
        look_for=_look_for(entry, conveyor),
    )


def idler_shift_direction(side: Side, run: Run) -> str:
    """Which end of an idler to advance, and toward what, for a belt that has run to `side`."""
    return f"{side} end toward the {'head' if run is Run.CARRYING else 'tail'}"


def _shift_idlers(
    entry: Entry, conveyor: ConveyorFacts, side: Side, position_m: float
) -> Correction:
    run = conveyor.loop.run_at(position_m)
    chosen = _idlers_before(conveyor, run, position_m)
    own_words = conveyor.side_in_words(side)
    names = f"{chosen[0].name} to {chosen[-1].name}" if len(chosen) > 1 else chosen[0].name
    return Correction(
        what=(
            f"Set the idlers here square to the belt path first. If the belt still stands off, "
            f"advance the {own_words} end of each of {len(chosen)} idlers, {names}."
        ),
        where=f"{names}, {chosen[0].position_m:.1f} to {chosen[-1].position_m:.1f} m",
        move_mm=_step_mm(entry, conveyor),
        direction=idler_shift_direction(side, run),
        wait_revolutions=WAIT_REVOLUTIONS,
        look_for=_look_for(entry, conveyor)
        + " Too far: move the same idlers back, do not turn others the other way.",
    )


def _idlers_before(conveyor: ConveyorFacts, run: Run, position_m: float) -> list[Station]:
    """The last fixed sets up to the place; the first ones of the run when none stand before."""
    kinds = IDLERS - {ComponentKind.SELF_ALIGNING_IDLER}
    stations = sorted(
        (
            station
            for part in conveyor.loop.of_kind(*kinds)
            if part.run is run
            for station in part.stations()
        ),
        key=lambda one: one.position_m,
    )
    count = SPREAD_OVER[run]
    before = [one for one in stations if one.position_m <= position_m + 1e-6]
    return before[-count:] if before else stations[:count]


def _step_mm(entry: Entry, conveyor: ConveyorFacts) -> float:
    """What the estimated skew would ask for, between the smallest and the largest first step."""
    width_mm = conveyor.belt.width_mm
    estimated = math.tan(math.radians(min(entry.size or 0.0, MOST_DEG))) * width_mm
    most = min(LARGEST_STEP_MM, math.tan(math.radians(MOST_DEG)) * width_mm)
    step = min(max(estimated, SMALLEST_STEP_MM), most)
    return round(step * 2) / 2


def _square_pulley(entry: Entry, conveyor: ConveyorFacts, side: Side) -> Correction:
    """The belt goes to the end it touches first: that end stands back."""
    part = next(one for one in conveyor.loop.parts if one.name == entry.component)
    return Correction(
        what=(
            f"Measure the shaft of {part.name} against the belt path from both bearings, and set "
            f"it square and level. The {conveyor.side_in_words(side)} bearing probably stands "
            "back. A pulley is squared and left there, not shifted to train the belt."
        ),
        where=where_of(entry, conveyor),
        move_mm=None,
        direction=f"{side} bearing {_forward(part)}, by what the measuring shows",
        wait_revolutions=WAIT_REVOLUTIONS,
        look_for=_look_for(entry, conveyor),
    )


def _forward(part: Part) -> str:
    """In the direction in which the belt arrives at a pulley."""
    if part.kind is ComponentKind.TAIL_PULLEY:
        return "away from the head"
    if part.kind is ComponentKind.HEAD_PULLEY:
        return "away from the tail"
    return "in the direction in which the belt arrives"


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


def _look_for(entry: Entry, conveyor: ConveyorFacts) -> str:
    within_mm = CENTRED_SHARE * conveyor.clearance_mm
    place = "at every station" if entry.position_m is None else "there and at the next stations"
    return f"The belt within {within_mm:.0f} mm of the centre {place}, empty and loaded."
