"""Pulleys that stand out of square: measured, squared and left there.

The belt goes to the end it touches first: that end stands back, against the direction in which the
belt arrives. No pulley is shifted to train a belt.
"""

import math

from diagnostics.inference.answer import Correction
from diagnostics.inference.correction.comebacks import comebacks_of
from diagnostics.inference.correction.words import WAIT_REVOLUTIONS, look_for, where_of
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.profile import Profile
from diagnostics.inference.ranking import Entry
from diagnostics.mechanics.pulley_faults import directions_deg
from plant.loop.parts import Part
from plant.loop.vocabulary import ComponentKind, Side

# Bearings stand so far outside the belt's edges; engineering judgement. [mm]
BEARING_BESIDE_BELT_MM = 200.0
# More than this is measured before it is believed; engineering judgement. [mm]
MOST_MM = 25.0
LEFT_THERE = "A pulley is squared and left there, not shifted to train the belt."
_WAYS = ((0.0, "toward the head"), (90.0, "up"), (180.0, "toward the tail"), (270.0, "down"))


def square_pulley(
    entry: Entry, conveyor: ConveyorFacts, side: Side, profile: Profile | None
) -> Correction:
    """Which bearing stands back, which way it goes, and about how far by what is expected."""
    part = next(one for one in conveyor.loop.parts if one.name == entry.component)
    phi_deg = _phi_deg(entry, part, profile)
    expected = expected_mm(entry, conveyor)
    what = [entry.cause.correct, _stands_back(part, conveyor.side_in_words(side), expected)]
    return Correction(
        what=" ".join([*what, LEFT_THERE]),
        where=where_of(entry, conveyor),
        move_mm=None if expected is None else min(expected, MOST_MM),
        direction=f"{side} bearing {way_in_words(part, phi_deg)}, by what the measuring shows",
        wait_revolutions=WAIT_REVOLUTIONS,
        look_for=look_for(entry, conveyor, comebacks_of(entry, conveyor, profile)),
    )


def expected_mm(entry: Entry, conveyor: ConveyorFacts) -> float | None:
    """By how much one bearing stands back, from the estimated angle; None where none is known.

    Notes
    -----
    tan(skew) times the distance of the bearings, belt width and 200 mm on either side.
    """
    skew_deg = entry.size if entry.size_unit == "deg" else entry.amplitude
    if skew_deg is None:
        return None
    between_mm = conveyor.belt.width_mm + 2 * BEARING_BESIDE_BELT_MM
    mm = abs(math.tan(math.radians(min(abs(skew_deg), 45.0)))) * between_mm
    return float(round(mm)) if mm >= 1 else None


def way_in_words(part: Part, phi_deg: float) -> str:
    """A side-view direction as a person at the pulley would say it."""
    if part.kind is ComponentKind.TAIL_PULLEY:
        return "away from the head"
    if part.kind is ComponentKind.HEAD_PULLEY:
        return "away from the tail"
    return min(_WAYS, key=lambda one: abs((phi_deg - one[0] + 180.0) % 360.0 - 180.0))[1]


def _phi_deg(entry: Entry, part: Part, profile: Profile | None) -> float:
    """Along the belt coming in, or going out where that is what the readings speak for."""
    ways = directions_deg(part)
    if profile is None or entry.column is None:
        return ways[0]
    name = f"skew {part.name}"
    alike = [number for number, one in enumerate(profile.names) if one == name]
    order = alike.index(entry.column[0]) if entry.column[0] in alike else 0
    return ways[order] if order < len(ways) else ways[0]


def _stands_back(part: Part, side_words: str, expected: float | None) -> str:
    says = (
        f"With the belt stopped and locked out, measure the shaft of {part.name} against the belt "
        f"path from both bearings first: the {side_words} bearing probably stands back"
    )
    if expected is None:
        return f"{says}."
    more = " or more" if expected > MOST_MM else ""
    return (
        f"{says}, about {min(expected, MOST_MM):.0f} mm{more} expected; move it by what measuring "
        "shows."
    )
