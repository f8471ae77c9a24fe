"""Idlers that are squared, and where the belt still stands off, advanced on one side.

Signs, the same on both runs: the end of an idler toward which the belt has run is advanced in the
local direction of belt travel, which is toward the head on the carrying run and toward the tail on
the return run.
"""

import math
from bisect import bisect_right
from functools import lru_cache

import numpy as np

from diagnostics.inference.answer import Correction
from diagnostics.inference.belt_lines import MOST_KEPT
from diagnostics.inference.correction.comebacks import Comeback, comebacks_of, shifts_at
from diagnostics.inference.correction.words import WAIT_REVOLUTIONS, look_for
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.profile import Profile
from diagnostics.inference.ranking import Entry
from plant.loop.parts import Station
from plant.loop.path import Loop
from plant.loop.vocabulary import IDLERS, ComponentKind, Run, Side

# First step at each idler; engineering judgement. [mm]
SMALLEST_STEP_MM = 2.0
LARGEST_STEP_MM = 3.0
# No idler is ever turned farther than this; common practice for the tilt of troughing sets. [deg]
MOST_DEG = 2.0
# Shifts are spread over so many idlers before the trouble, and over more where these would move
# the belt by less than half of what it has to come back; common practice, no source.
SPREAD_OVER = {Run.CARRYING: 4, Run.RETURN: 3}
MOST_IDLERS = 8
_ENOUGH_SHARE = 0.5
# What carries an end of the idler and is moved. Common words of the trade.
_FOOT = {Run.CARRYING: "foot of the frame", Run.RETURN: "hanger of the roll"}


def idler_shift_direction(side: Side, run: Run) -> str:
    """Which end of an idler to advance, and toward what, for a belt that has run to `side`."""
    return f"{side} end toward the {'head' if run is Run.CARRYING else 'tail'}"


def shift_idlers(
    entry: Entry, conveyor: ConveyorFacts, side: Side, position_m: float, profile: Profile | None
) -> Correction:
    """Square the idlers, then advance several of them a little."""
    run = conveyor.loop.run_at(position_m)
    comebacks = comebacks_of(entry, conveyor, profile)
    step_mm = _step_mm(entry, conveyor)
    chosen = idlers_before(conveyor.loop, run, position_m, SPREAD_OVER[run])
    moved_mm = 0.0
    if profile is not None and comebacks:
        chosen, moved_mm = _enough(conveyor, profile, side, step_mm, position_m, comebacks[0])
    names = f"{chosen[0].name} to {chosen[-1].name}" if len(chosen) > 1 else chosen[0].name
    own_words = conveyor.side_in_words(side)
    toward = "head" if run is Run.CARRYING else "tail"
    return Correction(
        what=(
            "With the belt stopped and locked out, set the idlers here square to the belt path "
            f"first.{_out_of_square(entry, conveyor)} If the belt still stands off, advance the "
            f"{own_words} end of each of {len(chosen)} idlers, {names}: the {_FOOT[run]} on that "
            f"side, toward the {toward}.{_moves(moved_mm, step_mm, comebacks)}"
        ),
        where=f"{names}, {chosen[0].position_m:.1f} to {chosen[-1].position_m:.1f} m",
        move_mm=step_mm,
        direction=idler_shift_direction(side, run),
        wait_revolutions=WAIT_REVOLUTIONS,
        look_for=look_for(entry, conveyor, comebacks, "move the same idlers back")
        + " Too far: move the same idlers back, do not turn others the other way.",
    )


def heading_deg(side: Side, step_mm: float, width_mm: float) -> float:
    """Heading imposed by an idler whose end at `side` was advanced, right positive. [deg]

    Notes
    -----
    eps = -alpha, alpha positive with the right end ahead: the belt goes to the other side.
    """
    return -side.sign * math.degrees(math.atan(step_mm / width_mm))


def _enough(
    conveyor: ConveyorFacts,
    profile: Profile,
    side: Side,
    step_mm: float,
    position_m: float,
    wanted: Comeback,
) -> tuple[list[Station], float]:
    """As few idlers as move the belt by half of what it has to come back, and by how much."""
    run = conveyor.loop.run_at(position_m)
    chosen = idlers_before(conveyor.loop, run, position_m, MOST_IDLERS)
    turned_deg = heading_deg(side, step_mm, conveyor.belt.width_mm)
    # Nearest first: those farther before the place are added when the nearer ones do not do.
    by_idler = shifts_at(chosen[::-1], turned_deg, conveyor, profile, wanted.sighting)
    moved_mm = np.abs(np.cumsum(by_idler))
    enough = int(np.searchsorted(np.maximum.accumulate(moved_mm), _ENOUGH_SHARE * wanted.mm)) + 1
    count = min(max(enough, SPREAD_OVER[run]), len(chosen))
    return chosen[-count:], float(moved_mm[count - 1])


def idlers_before(loop: Loop, run: Run, position_m: float, count: int) -> list[Station]:
    """The last fixed sets up to the place; the first ones of the run when none stand before."""
    stations = _fixed_sets(loop, run)
    before = bisect_right(stations, position_m + 1e-6, key=lambda one: one.position_m)
    return list(stations[max(before - count, 0) : before] or stations[:count])


@lru_cache(maxsize=2 * MOST_KEPT)
def _fixed_sets(loop: Loop, run: Run) -> tuple[Station, ...]:
    """Idler sets of a run that do not turn by themselves, along travel."""
    kinds = IDLERS - {ComponentKind.SELF_ALIGNING_IDLER}
    stations = (
        station for part in loop.of_kind(*kinds) if part.run is run for station in part.stations()
    )
    return tuple(sorted(stations, key=lambda one: one.position_m))


def _step_mm(entry: Entry, conveyor: ConveyorFacts) -> float:
    """What the estimated skew would ask for, between the smallest and the largest first step."""
    width_mm = conveyor.belt.width_mm
    estimated = math.tan(math.radians(min(entry.size or 0.0, MOST_DEG))) * width_mm
    most = min(LARGEST_STEP_MM, math.tan(math.radians(MOST_DEG)) * width_mm)
    step = min(max(estimated, SMALLEST_STEP_MM), most)
    return round(step * 2) / 2


def _out_of_square(entry: Entry, conveyor: ConveyorFacts) -> str:
    if entry.size is None or entry.side is None:
        return ""
    mm = math.tan(math.radians(min(entry.size, MOST_DEG))) * conveyor.belt.width_mm
    more = " or more" if entry.size > MOST_DEG else ""
    if mm < 1:
        return ""
    return (
        f" The {conveyor.side_in_words(entry.side)} end probably stands back by about "
        f"{mm:.0f} mm{more}."
    )


def _moves(moved_mm: float, step_mm: float, comebacks: tuple[Comeback, ...]) -> str:
    if not comebacks or moved_mm < 1:
        return ""
    return (
        f" {step_mm:g} mm on each moves the belt by about {moved_mm:.0f} mm at "
        f"{comebacks[0].sighting.station}."
    )
