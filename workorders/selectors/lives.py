"""Lives of rolls, lagging, bearings, blades and belts of a plant, read from its records.

Rolls: from the day their group was fitted, or their last change, to the next change; a change as a
precaution or for another reason does not count as a failure, and what sits there has not ended.
Lagging, bearings, blades: from the component's day to its renewals, of those that are read or were
renewed. Belts: from fitted to taken off, which counts as worn out.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from itertools import groupby
from typing import TypeVar
from zoneinfo import ZoneInfo

from plant.loop.rolls import WhyChanged, rolls_of
from plant.loop.vocabulary import IDLERS, PULLEYS, ComponentKind
from plant.metering.readings import MeterQuantity
from plant.models import (
    Belt,
    Component,
    ConditionReading,
    Conveyor,
    MeterReading,
    Plant,
    RollChange,
)
from workorders.life_subjects import LifeSubject
from workorders.models import Renewal
from workorders.planning.lives import Lives
from workorders.planning.part_lives import PartLife, PartLives, Replaced, lives_in_places
from workorders.planning.running_clock import CALENDAR, Clock, clock_of
from workorders.selectors.renewals import begin_of

_NOT_FAILED = frozenset({WhyChanged.PRECAUTION.value, WhyChanged.OTHER.value})
_READ_FOR = {
    LifeSubject.LAGGING: ("lagging_thickness",),
    LifeSubject.BEARING: ("bearing_temperature", "noise_grade"),
    LifeSubject.BLADE: ("blade_thickness",),
}


_Row = TypeVar("_Row", Component, Belt)


@dataclass(frozen=True)
class LifeData:
    """Lives in hours; `unknown` began nobody knows when, or have no hours yet."""

    subject: LifeSubject
    lives: Lives
    unknown: int
    is_running: bool

    @property
    def is_enough(self) -> bool:
        """Whether a Weibull life can be told at all."""
        return self.lives.fail_at_different_ages


@dataclass(frozen=True)
class Group:
    """An idler group with its rolls, or a component, or the belts of a conveyor."""

    conveyor: Conveyor
    subject: LifeSubject
    component: Component | None
    parts: int
    lives: PartLives
    # Rolls by the day they came, then by set: which are due together.
    sets_by_day: Mapping[date, Mapping[int, int]]


class PlantLives:
    """The records of a plant, read at once: six queries, however many conveyors there are.

    With `only` those of one of its conveyors, in service or not.
    """

    def __init__(self, plant: Plant, now: datetime, *, only: Conveyor | None = None) -> None:
        self.plant, self.now = plant, now
        self.zone: ZoneInfo = plant.zone_info
        conveyors = Conveyor.objects.in_service().filter(plant=plant)
        if only is not None:
            conveyors = Conveyor.objects.filter(pk=only.pk)
        self.conveyors = {one.pk: one for one in conveyors.select_related("plant")}
        self._components = _by_conveyor(
            Component.objects.filter(conveyor__in=self.conveyors).order_by("first_m", "name")
        )
        self.clocks = self._read_clocks()
        self._changes = self._read_changes()
        self._renewals = self._read_renewals()
        self._belts = _by_conveyor(Belt.objects.filter(conveyor__in=self.conveyors))

    @cached_property
    def groups(self) -> list[Group]:
        """In the order of conveyors, then of the loop."""
        found: list[Group] = []
        for conveyor in self.conveyors.values():
            for component in self._components[conveyor.pk]:
                found += self._of_component(conveyor, component)
            belts = [one for one in self._belts[conveyor.pk] if one.fitted_on is not None]
            if belts:
                lives = _belt_lives(belts)
                found.append(Group(conveyor, LifeSubject.BELT, None, len(belts), lives, {}))
        return found

    def data_of(self, subject: LifeSubject, groups: Sequence[Group]) -> LifeData:
        """Their lives together, by running hours if meters cover all of them, else the calendar."""
        clocks = {one.conveyor.pk: self.clocks[one.conveyor.pk] for one in groups}
        is_running = bool(groups) and all(
            clocks[one.conveyor.pk].is_running and clocks[one.conveyor.pk].knows(self._begins(one))
            for one in groups
        )
        seen: list[tuple[float, bool, int]] = []
        unknown = sum(one.lives.unknown for one in groups)
        for one in groups:
            clock = clocks[one.conveyor.pk] if is_running else CALENDAR
            for life, count in one.lives.counts.items():
                age = self._age_h(clock, life)
                if age > 0:
                    seen.append((age, life.failed, count))
                else:
                    unknown += count
        return LifeData(subject, Lives.of(seen), unknown, is_running)

    def begin(self, day: date) -> datetime:
        return begin_of(day, self.zone)

    def _begins(self, group: Group) -> Iterator[datetime]:
        return (self.begin(life.began) for life in group.lives.counts)

    def _age_h(self, clock: Clock, life: PartLife) -> float:
        end = self.now if life.ended is None else self.begin(life.ended)
        return clock.hours_at(end) - clock.hours_at(self.begin(life.began))

    def _read_clocks(self) -> dict[int, Clock]:
        rows = MeterReading.objects.filter(
            conveyor__in=self.conveyors, quantity=MeterQuantity.RUNNING_HOURS.value
        ).order_by("conveyor_id", "read_at")
        found = dict.fromkeys(self.conveyors, CALENDAR)
        for conveyor_id, readings in groupby(rows, key=lambda one: one.conveyor_id):
            found[conveyor_id] = clock_of([one.as_reading() for one in readings])
        return found

    def _read_changes(self) -> dict[int, list[tuple[int, str, Replaced]]]:
        rows = RollChange.objects.filter(
            conveyor__in=self.conveyors,
            component__isnull=False,
            set_number__isnull=False,
            undone_at__isnull=True,
        ).values_list("component_id", "set_number", "roll", "changed_on", "why")
        found: dict[int, list[tuple[int, str, Replaced]]] = defaultdict(list)
        for component_id, set_number, roll, day, why in rows.order_by():
            change = (set_number or 0, roll, Replaced(day, why not in _NOT_FAILED))
            found[component_id or 0].append(change)
        return found

    def _read_renewals(self) -> dict[tuple[int, str], list[Replaced]]:
        """By component and what was renewed; an empty list for what is only read."""
        found: dict[tuple[int, str], list[Replaced]] = defaultdict(list)
        rows = Renewal.objects.counting().filter(
            conveyor__in=self.conveyors, component__isnull=False
        )
        for one in rows:
            assert one.component_id is not None
            found[one.component_id, one.what].append(Replaced(one.renewed_on, one.had_failed))
        for subject, quantities in _READ_FOR.items():
            assert subject.renewed is not None
            read = ConditionReading.objects.filter(
                conveyor__in=self.conveyors, quantity__in=quantities, component__isnull=False
            )
            for component_id in read.order_by().values_list("component_id", flat=True).distinct():
                found[component_id or 0, subject.renewed.value] += []
        return dict(found)

    def _of_component(self, conveyor: Conveyor, component: Component) -> Iterator[Group]:
        kind = ComponentKind(component.kind)
        if kind in IDLERS:
            yield self._of_rolls(conveyor, component, LifeSubject(kind.value))
            return
        for subject in (LifeSubject.LAGGING, LifeSubject.BEARING, LifeSubject.BLADE):
            assert subject.renewed is not None
            if (kind in PULLEYS) is (subject is LifeSubject.BLADE):
                continue
            replaced = self._renewals.get((component.pk, subject.renewed.value))
            if replaced is not None:
                lives = lives_in_places(1, component.fitted_on, [replaced] if replaced else [])
                yield Group(conveyor, subject, component, 1, lives, {})

    def _of_rolls(self, conveyor: Conveyor, component: Component, subject: LifeSubject) -> Group:
        places = rolls_of(component.as_part(), conveyor.trough_angle_deg)
        known = {one.value for one in places}
        changed: dict[tuple[int, str], list[Replaced]] = defaultdict(list)
        for set_number, roll, replaced in self._changes.get(component.pk, ()):
            if set_number <= component.count and roll in known:
                changed[set_number, roll].append(replaced)
        parts = component.count * len(places)
        lives = lives_in_places(parts, component.fitted_on, list(changed.values()))
        sets = _sets_by_day(component, len(places), changed)
        return Group(conveyor, subject, component, parts, lives, sets)


def _sets_by_day(
    component: Component, each: int, changed: Mapping[tuple[int, str], Sequence[Replaced]]
) -> dict[date, dict[int, int]]:
    """How many rolls of each set came on each day, of those that sit there."""
    found: dict[date, dict[int, int]] = defaultdict(lambda: defaultdict(int))
    left = dict.fromkeys(range(1, component.count + 1), each)
    for (set_number, _roll), replaced in changed.items():
        last = max(one.on for one in replaced)
        if component.fitted_on is None or last > component.fitted_on:
            found[last][set_number] += 1
            left[set_number] -= 1
    if component.fitted_on is not None:
        for set_number, count in left.items():
            if count:
                found[component.fitted_on][set_number] = count
    return {day: dict(sets) for day, sets in found.items()}


def _belt_lives(belts: Sequence[Belt]) -> PartLives:
    counts: dict[PartLife, int] = defaultdict(int)
    for one in belts:
        assert one.fitted_on is not None
        if one.removed_on is None or one.removed_on > one.fitted_on:
            counts[PartLife(one.fitted_on, one.removed_on, one.removed_on is not None)] += 1
    return PartLives(dict(counts), 0)


def _by_conveyor(rows: Iterable[_Row]) -> dict[int, list[_Row]]:
    found: dict[int, list[_Row]] = defaultdict(list)
    for one in rows:
        found[one.conveyor_id].append(one)
    return found
