"""A plant's cases and clocks of a period, as its recurring faults are reckoned from them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
from django.db.models import QuerySet

from diagnostics.fault_choice import FaultChoice
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.models import Case
from diagnostics.recurrence.faults.given import UNKNOWN, Events, Flags, Watch
from diagnostics.recurrence.faults.reckoning import Words
from diagnostics.recurrence.histories import Counts, Floats
from diagnostics.recurrence.trend_tables import grain_for, stretches_of
from diagnostics.selectors.trends import Period, cases_in
from plant.loop.vocabulary import Zone
from plant.metering.basis import Basis
from plant.metering.clocks import DAY_S, BeltClock
from plant.models import Conveyor, Plant
from plant.selectors import exposures

_ROWS_AT_ONCE = 5000


@dataclass(frozen=True, eq=False)
class PlantEvents:
    """`belts` are keys of conveyors in the order of the indices; `case` and `repeat_of` are keys of
    cases, one an event, `repeat_of` 0 for none.
    """

    plant: Plant
    period: Period
    belts: Counts
    clocks: dict[int, BeltClock]
    watch: Watch
    events: Events
    words: Words
    case: Counts
    repeat_of: Counts

    def latest(self, chosen: Flags, most: int) -> Counts:
        """Indices of the chosen events, at most so many of each belt, the latest; by belt, in
        order of time.
        """
        order = np.flatnonzero(chosen)
        order = order[np.lexsort((order, self.events.at[order], self.events.belt[order]))]
        belts = self.events.belt[order]
        # How many of the same belt stand behind each.
        behind = np.searchsorted(belts, belts, side="right") - 1 - np.arange(len(order))
        return order[behind < most]


def plant_events(plant: Plant, choice: FaultChoice, now: datetime) -> PlantEvents:
    """Belts that were watched or had a case, and the cases; a fixed number of queries."""
    first_on, last_on = choice.days(plant.day_of(now))
    first, last = exposures.instants_of(plant.zone_info, first_on, last_on, now)
    conveyors = Conveyor.objects.filter(plant=plant)
    clocks = exposures.clocks_of(conveyors, first, last, choice.basis)
    period = Period(first_on, last_on, choice.family)
    columns = _Columns()
    # One opened while this reads lies behind the end of the clocks: the next reckoning has it.
    cases = Case.objects.filter(conveyor__plant=plant, opened_at__lte=now)
    columns.read(cases_in(cases, period))
    with_cases = conveyors.filter(pk__in=set(columns.conveyor) - clocks.keys())
    keys = sorted({*clocks, *with_cases.values_list("pk", flat=True)})
    stretches = stretches_of(first_on, last_on, grain_for(first_on, last_on))
    belt = np.searchsorted(np.array(keys, dtype=np.int64), columns.conveyor).astype(np.int64)
    at = np.array(columns.at, dtype=float)
    # A course that counts from a time when no belt was watched would begin out of nothing.
    begin = min((clock.first for clock in clocks.values()), default=first)
    return PlantEvents(
        plant=plant,
        period=period,
        belts=np.array(keys, dtype=np.int64),
        clocks=clocks,
        watch=_watch(keys, clocks, begin),
        events=columns.events(
            belt, at, _on_clocks(keys, clocks, belt, at, begin), plant, stretches
        ),
        words=Words(
            tuple(columns.families),
            tuple(columns.zones),
            tuple(day.isoformat() for day in stretches),
            plant.day_of(begin).isoformat(),
        ),
        case=np.array(columns.case, dtype=np.int64),
        repeat_of=np.array(columns.repeat_of, dtype=np.int64),
    )


def _entry(clock: BeltClock, begin: datetime) -> float:
    """Where a clock begins on the scale of all: on the calendar a late belt joins late.

    Meters have no time in common, so each belt's hours or tonnes count from its own beginning.
    """
    is_calendar = clock.basis is Basis.CALENDAR
    return (clock.first - begin).total_seconds() / DAY_S if is_calendar else 0.0


def _watch(keys: Sequence[int], clocks: dict[int, BeltClock], begin: datetime) -> Watch:
    entry, end = np.zeros(len(keys)), np.zeros(len(keys))
    for index, key in enumerate(keys):
        if (clock := clocks.get(key)) is not None:
            entry[index] = _entry(clock, begin)
            end[index] = entry[index] + clock.total
    return Watch(entry, end)


def _on_clocks(
    keys: Sequence[int],
    clocks: dict[int, BeltClock],
    belt: Counts,
    at: Floats,
    begin: datetime,
) -> Floats:
    """What each event's clock shows; -inf and inf before and after the watch, nan in its gaps."""
    shown = np.full(len(at), np.nan)
    order = np.argsort(belt, kind="stable")
    bounds = np.searchsorted(belt[order], np.arange(len(keys) + 1))
    for index, key in enumerate(keys):
        own = order[bounds[index] : bounds[index + 1]]
        clock = clocks.get(key)
        if clock is None or not len(own):
            continue
        times = clock.at_seconds(at[own]) + _entry(clock, begin)
        times[at[own] <= clock.first.timestamp()] = -np.inf
        times[at[own] > clock.last.timestamp()] = np.inf
        shown[own] = times
    return shown


class _Columns:
    """Rows of cases as columns; words become indices, known ones in the order of vocabulary."""

    def __init__(self) -> None:
        self.case: list[int] = []
        self.conveyor: list[int] = []
        self.at: list[float] = []
        self.repeat_of: list[int] = []
        self.hours: list[float] = []
        self.family: list[int] = []
        self.zone: list[int] = []
        self.families = {one.value: index for index, one in enumerate(CauseClass)}
        self.zones = {one.value: index for index, one in enumerate(Zone)}

    def read(self, cases: QuerySet[Case]) -> None:
        rows = cases.order_by("opened_at", "pk").values_list(
            "pk", "conveyor_id", "opened_at", "repeat_of_id", "lost_hours", "cause_class", "zone"
        )
        for pk, conveyor, at, repeat_of, hours, family, zone in rows.iterator(_ROWS_AT_ONCE):
            self.case.append(pk)
            self.conveyor.append(conveyor)
            self.at.append(at.timestamp())
            self.repeat_of.append(repeat_of or 0)
            self.hours.append(np.nan if hours is None else float(hours))
            self.family.append(_index(self.families, family))
            self.zone.append(_index(self.zones, zone))

    def events(
        self, belt: Counts, at: Floats, time: Floats, plant: Plant, stretches: Sequence[date]
    ) -> Events:
        return Events(
            belt=belt,
            time=time,
            at=at,
            stretch=_stretch(at, plant, stretches),
            is_repeat=np.array(self.repeat_of, dtype=np.int64) > 0,
            lost_hours=np.array(self.hours, dtype=float),
            family=np.array(self.family, dtype=np.int64),
            zone=np.array(self.zone, dtype=np.int64),
        )


def _index(words: dict[str, int], word: str) -> int:
    """One that the vocabulary does not know, from an older one, gets a place behind it."""
    return words.setdefault(word, len(words)) if word else UNKNOWN


def _stretch(at: Floats, plant: Plant, stretches: Iterable[date]) -> Counts:
    zone = plant.zone_info
    begins = [datetime(one.year, one.month, one.day, tzinfo=zone).timestamp() for one in stretches]
    return np.searchsorted(np.array(begins), at, side="right").astype(np.int64) - 1
