"""Checks that need no closed loop: belt, trough, pulleys, spacing and rolls."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial

from diagnostics.mechanics.register_check import limits
from diagnostics.mechanics.register_check.figures import Figures
from diagnostics.mechanics.register_check.findings import (
    Bound,
    Check,
    Compared,
    Finding,
    Given,
    Missing,
    Quantity,
    Unchecked,
    Unit,
    about,
    at_most,
    between,
)
from diagnostics.mechanics.register_check.formulas import rim_speed_mps, roll_speed_rpm
from plant.loop.parts import Part


def belt_speed(figures: Figures) -> Iterator[Finding]:
    """The belt's speed against that of the rim of its drive pulley."""
    if not figures.drives or not figures.drives[0].diameter_mm:
        names = tuple(part.name for part in figures.drives)
        yield Unchecked(Check.BELT_SPEED, Missing.PULLEY_DIAMETER, names)
        return
    drive, turns_rpm = figures.drives[0], figures.readings.pulley_rpm
    if turns_rpm is None:
        yield Unchecked(Check.BELT_SPEED, Missing.PULLEY_SPEED, (drive.name,))
        return
    assert drive.diameter_mm is not None
    yield about(
        Check.BELT_SPEED,
        figures.speed_mps,
        rim_speed_mps(turns_rpm, drive.diameter_mm),
        Unit.METRE_PER_SECOND,
        within=limits.SPEED_WITHIN_SHARE * figures.speed_mps,
        at=(drive.name,),
        given=(
            Given("n", Quantity(turns_rpm, Unit.TURNS_PER_MINUTE)),
            Given("D", Quantity(drive.diameter_mm, Unit.MILLIMETRE)),
        ),
    )


def belt_width(figures: Figures) -> Iterator[Finding]:
    """The belt's width against the nearest that is sold."""
    if figures.belt is None:
        yield Unchecked(Check.BELT_WIDTH, Missing.BELT)
        return
    width_mm = figures.belt.width_mm
    usual = (*limits.WIDTHS_MM, *(inch * limits.MM_PER_INCH for inch in limits.WIDTHS_IN))
    nearest = min(usual, key=lambda one: abs(one - width_mm))
    within = limits.WIDTH_WITHIN * width_mm
    yield about(Check.BELT_WIDTH, width_mm, nearest, Unit.MILLIMETRE, within=within)


def trough_angle(figures: Figures) -> Iterator[Finding]:
    angle = figures.trough_angle_deg
    nearest = min(limits.TROUGH_ANGLES_DEG, key=lambda one: abs(one - angle))
    within = limits.TROUGH_WITHIN_DEG
    yield about(Check.TROUGH_ANGLE, angle, nearest, Unit.DEGREE, within=within)


def pulley_order(figures: Figures) -> Iterator[Finding]:
    """No pulley much larger than one that carries more tension."""
    pulleys = [part for part in figures.parts if part.is_pulley and part.diameter_mm]
    worst: tuple[float, Part, Part] | None = None
    for part in pulleys:
        for other in pulleys:
            if limits.PULLEY_RANKS[other.kind] >= limits.PULLEY_RANKS[part.kind]:
                continue
            ratio = (part.diameter_mm or 0.0) / (other.diameter_mm or 1.0)
            if worst is None or ratio > worst[0]:
                worst = ratio, part, other
    if worst is None:
        yield Unchecked(Check.PULLEY_ORDER, Missing.PULLEY_DIAMETER)
        return
    _ratio, part, other = worst
    yield at_most(
        Check.PULLEY_ORDER,
        part.diameter_mm or 0.0,
        limits.PULLEY_LARGER_SHARE * (other.diameter_mm or 0.0),
        Unit.MILLIMETRE,
        at=(part.name, other.name),
        given=(Given("D", Quantity(other.diameter_mm or 0.0, Unit.MILLIMETRE)),),
    )


def spacing(figures: Figures) -> Iterator[Finding]:
    """The spacing of each kind of idler set; of several groups the farthest from usual."""
    by_kind = defaultdict(list)
    for part in figures.parts:
        if part.kind in limits.SPACING_M and part.spacing_m:
            by_kind[part.kind].append(part)
    for kind, parts in by_kind.items():
        usual = limits.SPACING_M[kind]
        yield _worst(parts, partial(_spacing, usual=usual))


def _spacing(part: Part, usual: tuple[float, float]) -> Compared:
    return between(Check.SPACING, part.spacing_m or 0.0, usual, Unit.METRE, at=(part.name,))


def roll_speed(figures: Figures) -> Iterator[Finding]:
    """Turns a minute of the rolls whose diameter is known."""
    idlers = [part for part in figures.parts if part.is_idler]
    known = [part for part in idlers if part.diameter_mm]
    unknown = tuple(part.name for part in idlers if not part.diameter_mm)
    if known:
        yield _worst(known, partial(_roll_speed, speed_mps=figures.speed_mps))
    if unknown:
        yield Unchecked(Check.ROLL_SPEED, Missing.ROLL_DIAMETER, unknown)
    if not idlers:
        yield Unchecked(Check.ROLL_SPEED, Missing.CARRYING_IDLERS)


def _roll_speed(part: Part, speed_mps: float) -> Compared:
    diameter_mm = part.diameter_mm or 0.0
    return at_most(
        Check.ROLL_SPEED,
        roll_speed_rpm(speed_mps, diameter_mm),
        limits.MOST_ROLL_RPM,
        Unit.TURNS_PER_MINUTE,
        at=(part.name,),
        given=(
            Given("v", Quantity(speed_mps, Unit.METRE_PER_SECOND)),
            Given("D", Quantity(diameter_mm, Unit.MILLIMETRE)),
        ),
    )


def _worst(parts: Sequence[Part], compare: Callable[[Part], Compared]) -> Compared:
    """The comparison farthest from fitting, with the names of all that do not fit."""
    compared = [compare(part) for part in parts]
    worst = max(compared, key=excess)
    asking = tuple(name for one in compared if one.asks for name in one.at)
    others = tuple(name for name in asking if name not in worst.at)
    return replace(worst, at=(*worst.at, *others))


def excess(compared: Compared) -> float:
    """How far beyond its bound, as a share of it; above 0 it asks."""
    found, wanted = compared.found.value, compared.wanted.value
    if wanted == 0:
        return -found
    return found / wanted - 1 if compared.bound is Bound.AT_MOST else 1 - found / wanted
