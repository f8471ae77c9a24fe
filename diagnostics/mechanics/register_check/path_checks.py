"""Checks of the closed loop: belt length, transitions, stretches without a set."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from diagnostics.mechanics.register_check import limits
from diagnostics.mechanics.register_check.figures import BeltFigures, Figures
from diagnostics.mechanics.register_check.findings import (
    Check,
    Compared,
    Finding,
    Given,
    Missing,
    Quantity,
    Unchecked,
    Unit,
    at_least,
    at_most,
)
from diagnostics.mechanics.register_check.formulas import transition_m
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind, Run, TakeUpKind

_FULL_TROUGH = (ComponentKind.TROUGHING_IDLERS, ComponentKind.IMPACT_IDLERS)


def belt_length(figures: Figures) -> Iterator[Finding]:
    """The belt against its path: no shorter, longer by what the take-up can take up at most."""
    loop, belt = figures.loop, figures.belt
    if loop is None or belt is None:
        missing = Missing.LOOP if loop is None else Missing.BELT
        yield Unchecked(Check.BELT_LENGTH, missing)
        return
    path = Given("S", Quantity(loop.length_m, Unit.METRE))
    least_m = loop.length_m * (1 - limits.SHORTER_SHARE)
    if belt.length_m < least_m:
        yield at_least(Check.BELT_LENGTH, belt.length_m, least_m, Unit.METRE, given=(path,))
        return
    travel = _take_up_travel(figures, belt)
    most_m = loop.length_m * (1 + limits.SHORTER_SHARE) + 2 * travel.quantity.value
    yield at_most(Check.BELT_LENGTH, belt.length_m, most_m, Unit.METRE, given=(path, travel))


def _take_up_travel(figures: Figures, belt: BeltFigures) -> Given:
    read_m = figures.readings.take_up_travel_m
    if figures.take_up_kind is TakeUpKind.FIXED:
        return Given("u", Quantity(0.0, Unit.METRE))
    if read_m is not None:
        return Given("u", Quantity(read_m, Unit.METRE))
    share = limits.TAKE_UP_TRAVEL_SHARE.get(belt.carcass, limits.USUAL_TRAVEL_SHARE)
    return Given("u", Quantity(share * figures.centre_distance_m, Unit.METRE), is_assumed=True)


def transitions(figures: Figures) -> Iterator[Finding]:
    """From tail and head pulley to the nearest set with the full trough."""
    loop, belt = figures.loop, figures.belt
    if loop is None or belt is None:
        missing = Missing.LOOP if loop is None else Missing.BELT
        yield Unchecked(Check.TRANSITION, missing)
        return
    sets = loop.of_kind(*_FULL_TROUGH)
    if not sets:
        yield Unchecked(Check.TRANSITION, Missing.CARRYING_IDLERS)
        return
    first, last = min(sets, key=lambda one: one.first_m), max(sets, key=lambda one: one.last_m)
    ends = loop.of_kind(ComponentKind.TAIL_PULLEY), loop.of_kind(ComponentKind.HEAD_PULLEY)
    tail, head = (found[0].name for found in ends)
    yield _transition(figures, belt, first.first_m, (tail, first.name))
    yield _transition(figures, belt, loop.head_m - last.last_m, (last.name, head))


def _transition(
    figures: Figures, belt: BeltFigures, distance_m: float, at: tuple[str, ...]
) -> Compared:
    angle = figures.trough_angle_deg
    least_m = transition_m(belt.width_mm, angle, is_steel_cord=belt.is_steel_cord)
    return at_least(
        Check.TRANSITION,
        distance_m,
        least_m,
        Unit.METRE,
        at=at,
        given=(
            Given("B", Quantity(belt.width_mm, Unit.MILLIMETRE)),
            Given("lambda", Quantity(angle, Unit.DEGREE)),
            Given("full", Quantity(2 * least_m, Unit.METRE)),
        ),
    )


@dataclass(frozen=True)
class _Support:
    name: str
    from_m: float
    to_m: float
    spacing_m: float | None
    is_idler: bool


def gaps(figures: Figures) -> Iterator[Finding]:
    """The longest stretch of each run without a set, over the spacing of its neighbours."""
    if figures.loop is None:
        yield Unchecked(Check.GAP, Missing.LOOP)
        return
    for run, missing in (
        (Run.CARRYING, Missing.CARRYING_IDLERS),
        (Run.RETURN, Missing.RETURN_IDLERS),
    ):
        if not any(part.is_idler and part.run is run for part in figures.loop.parts):
            yield Unchecked(Check.GAP, missing)
            continue
        compared = list(_gaps(figures.loop, run))
        if compared:
            yield max(compared, key=lambda one: one.found.value / one.wanted.value)


def _gaps(loop: Loop, run: Run) -> Iterator[Compared]:
    supports = _supports(loop, run)
    for one, other in pairwise(supports):
        spacings = [each.spacing_m for each in (one, other) if each.spacing_m]
        # From pulley to pulley the belt runs free, as beside a take-up; a lone set says nothing.
        if not (one.is_idler or other.is_idler) or not spacings:
            continue
        spacing_m = max(*spacings, limits.LEAST_SPACING_FOR_GAPS_M)
        yield at_most(
            Check.GAP,
            other.from_m - one.to_m,
            limits.MOST_SPACINGS_IN_A_GAP * spacing_m,
            Unit.METRE,
            at=(one.name, other.name),
            given=(Given("a", Quantity(spacing_m, Unit.METRE)),),
        )


def _supports(loop: Loop, run: Run) -> list[_Support]:
    found = [
        _Support(part.name, part.first_m, part.last_m + part.arc_m, part.spacing_m, part.is_idler)
        for part in loop.parts
        if part.is_pulley or (part.is_idler and part.run is run)
    ]
    tail = loop.of_kind(ComponentKind.TAIL_PULLEY)[0]
    found.append(_Support(tail.name, 0.0, 0.0, None, False))
    found.sort(key=lambda one: one.from_m)
    if run is Run.CARRYING:
        return [one for one in found if one.from_m <= loop.head_m]
    return [one for one in found if one.from_m >= loop.head_m]
