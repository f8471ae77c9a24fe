"""What of a conveyor is due, and why: limits that are met, wear lines, economic ages.

A part whose own readings say when is not also due by its age.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from plant.loop.vocabulary import ComponentKind
from plant.models import Component
from plant.roll_words import set_words
from workorders.due_methods import method_of
from workorders.life_subjects import LifeSubject, Renewed, renewed_of
from workorders.models import DueItem
from workorders.planning.running_clock import CALENDAR
from workorders.planning.wear import WearState
from workorders.selectors.life_answers import ChosenLife, PlantAnswers
from workorders.selectors.lives import Group
from workorders.selectors.wear import ConveyorWear, SpotWear

# Twelve months ahead, and the rest of the last one.
HORIZON = timedelta(days=397)
_RENEWED = {
    LifeSubject.LAGGING: Renewed.LAGGING,
    LifeSubject.BEARING: Renewed.BEARING,
    LifeSubject.BLADE: Renewed.BLADE,
    LifeSubject.BELT: Renewed.COVERS,
}
# More names than this nobody reads; the count says how many there are.
_MOST_NAMES = 40


@dataclass(frozen=True)
class DueThing:
    """One row of the list, not yet kept; the fields are those of `DueItem`."""

    key: str
    what: Renewed
    reason: DueItem.Reason
    where: str
    count: int
    due_on: date
    component: Component | None = None
    due_from: date | None = None
    due_until: date | None = None
    station: str = ""
    position_m: float | None = None
    sets: tuple[str, ...] = ()
    work_method: str = ""
    why: Mapping[str, Any] = field(default_factory=dict)
    reading_id: int | None = None


def things_due(wear: ConveyorWear, answers: PlantAnswers) -> list[DueThing]:
    """All that is due within the horizon; the wear's queries, and no more."""
    by_part: dict[tuple[int | None, int | None, Renewed], list[SpotWear]] = defaultdict(list)
    for spot in wear.spots():
        kind = ComponentKind(spot.component.kind) if spot.component else None
        part = (spot.key.component_id, spot.key.set_number, renewed_of(spot.key.quantity, kind))
        by_part[part].append(spot)
    last = wear.today + HORIZON
    found = [
        thing
        for (_component, _set, what), spots in by_part.items()
        if (thing := _by_wear(what, spots, wear.today, last)) is not None
    ]
    # A line that shows no wear yet says nothing against the age.
    told = {part for part, spots in by_part.items() if any(one.met_on for one in spots)}
    told |= {part for part, spots in by_part.items() if any(_is_past(one) for one in spots)}
    for group in answers.groups_of(wear.conveyor):
        found += _by_age(group, answers, wear, told, last)
    return found


def _by_wear(what: Renewed, spots: Sequence[SpotWear], today: date, last: date) -> DueThing | None:
    """The spot that meets its limit first says when; the others that do so too are counted."""
    due = [one for one in spots if _is_past(one) or (one.met_on and one.met_on <= last)]
    if not due:
        return None
    first = min(due, key=lambda one: today if _is_past(one) else one.met_on or last)
    is_past = _is_past(first)
    component, number = first.component, first.key.set_number
    name = _name(component, number) if component else str(first.belt)
    return DueThing(
        key=f"w:{_owner(first)}:{number or 0}:{what.value}",
        what=what,
        reason=DueItem.Reason.LIMIT_MET if is_past else DueItem.Reason.WEAR,
        where=name,
        count=len({one.key.spot.casefold() for one in due}),
        due_on=today if is_past else first.met_on or today,
        component=component,
        due_from=None if is_past else first.met_from,
        due_until=None if is_past else first.met_until,
        station=name if component else "",
        position_m=_position_m(component, number),
        sets=(name,) if number else (),
        work_method=method_of(what, ComponentKind(component.kind) if component else None),
        why=_why_worn(first),
        reading_id=first.last_pk,
    )


def _by_age(
    group: Group,
    answers: PlantAnswers,
    wear: ConveyorWear,
    told: Iterable[tuple[int | None, int | None, Renewed]],
    last: date,
) -> Iterator[DueThing]:
    """What came on one day is due on one day."""
    if group.subject not in answers.costs:
        return
    chosen = answers.chosen(group)
    if not chosen.answer.is_worth_planning:
        return
    what = _RENEWED.get(group.subject, Renewed.ROLLS)
    component_id = group.component.pk if group.component else None
    sets_told = {number for of, number, one in told if (of, one) == (component_id, what)}
    if not group.subject.is_of_rolls and sets_told:
        return
    for day, count in sorted(group.lives.running.items()):
        sets = {
            number: rolls
            for number, rolls in group.sets_by_day.get(day, {}).items()
            if number not in sets_told
        }
        if group.subject.is_of_rolls:
            count = sum(sets.values())
        due_on = _due_by_age(day, chosen, answers, wear)
        if count and due_on is not None and due_on <= last:
            yield _aged(group, chosen, what, day, due_on, sets, count)


def _due_by_age(
    day: date, chosen: ChosenLife, answers: PlantAnswers, wear: ConveyorWear
) -> date | None:
    replacement = chosen.answer.replacement
    assert replacement is not None
    assert replacement.age is not None
    conveyor_id = chosen.group.conveyor.pk
    clock = answers.lives.clocks[conveyor_id] if chosen.answer.data.is_running else CALENDAR
    at = clock.at_hours(clock.hours_at(answers.lives.begin(day)) + replacement.age)
    return None if at is None else max(at.astimezone(wear.zone).date(), wear.today)


def _aged(
    group: Group,
    chosen: ChosenLife,
    what: Renewed,
    day: date,
    due_on: date,
    sets: Mapping[int, int],
    count: int,
) -> DueThing:
    component = group.component
    kind = ComponentKind(component.kind) if component else None
    return DueThing(
        key=f"a:{_aged_part(group, what)}:{day:%Y-%m-%d}",
        what=what,
        reason=DueItem.Reason.AGE,
        where=component.name if component else group.conveyor.tag,
        count=count,
        due_on=due_on,
        component=component,
        station=component.name if component and not sets else "",
        position_m=_position_m(component, min(sets) if sets else None),
        sets=tuple(_runs(component, sorted(sets)))[:_MOST_NAMES] if component else (),
        work_method=method_of(what, kind) if component else "",
        why=_why_aged(chosen, day),
    )


def _aged_part(group: Group, what: Renewed) -> str:
    """A pulley has lagging and bearings, which may well have come on one day."""
    if group.component is None:
        return group.subject.value
    return f"{group.component.pk}" if group.subject.is_of_rolls else f"{group.component.pk}:{what}"


def _why_aged(chosen: ChosenLife, day: date) -> dict[str, Any]:
    replacement, data = chosen.answer.replacement, chosen.answer.data
    assert replacement is not None
    assert replacement.age is not None
    return {
        "age_h": replacement.age,
        "is_running": data.is_running,
        "basis": chosen.basis.value,
        "failures": data.lives.failure_count,
        "fitted": f"{day:%Y-%m-%d}",
        "is_beyond": replacement.age > data.lives.ages[-1],
    }


def _why_worn(spot: SpotWear) -> dict[str, Any]:
    last = spot.last
    return {
        "quantity": spot.key.quantity.value,
        "spot": spot.key.spot,
        "last": last.value if last else None,
        "limit": spot.limit.value,
        "scope": spot.limit.scope.value,
        "is_running": spot.clock.is_running,
        "used": len(spot.wear.used) if spot.wear else 0,
    }


def _is_past(spot: SpotWear) -> bool:
    return spot.wear is not None and spot.wear.state is WearState.PAST_LIMIT


def _owner(spot: SpotWear) -> str:
    belt = spot.key.belt_id
    return f"b{belt}" if belt is not None else str(spot.key.component_id)


def _name(component: Component, number: int | None) -> str:
    return component.name if number is None else set_words(component.as_part(), number)


def _position_m(component: Component | None, number: int | None) -> float | None:
    if component is None:
        return None
    apart = float(component.spacing_m or 0)
    return round(float(component.first_m) + ((number or 1) - 1) * apart, 3)


def _runs(component: Component, numbers: Sequence[int]) -> Iterator[str]:
    """Names of sets, neighbours as first and last: `C12`, `C14 to C19`."""
    part = component.as_part()
    start = 0
    for place, number in enumerate(numbers):
        if place + 1 < len(numbers) and numbers[place + 1] == number + 1:
            continue
        first, last = set_words(part, numbers[start]), set_words(part, number)
        yield first if first == last else f"{first}\N{EN DASH}{last}"
        start = place + 1
