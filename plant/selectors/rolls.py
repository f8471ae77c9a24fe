"""The rolls of idler sets: how old each is, and which were changed."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet

from plant.loop.idler_sets import IdlerSet, sets_of
from plant.loop.rolls import RollPlace, rolls_of
from plant.models import Component, ConditionReading, Conveyor, RollChange
from plant.roll_words import roll_words_with_side, set_words
from plant.selectors import meters
from plant.selectors.idlers import rows_of

_ROWS = 40
_SETS = 60
_READINGS = 20


@dataclass(frozen=True)
class RollAge:
    """A roll as it sits in its set; without `fitted_on` nobody wrote down when it came."""

    roll: RollPlace
    words: str
    change: RollChange | None
    fitted_on: date | None
    days: int | None
    exposure: meters.Exposure | None


@dataclass(frozen=True)
class SetSheet:
    one: IdlerSet
    name: str
    rolls: tuple[RollAge, ...]
    changes: tuple[RollChange, ...]
    readings: tuple[ConditionReading, ...]
    before: IdlerSet | None
    after: IdlerSet | None


@dataclass(frozen=True)
class SetRow:
    """A set of a group in its list, with the changes of its rolls that count."""

    place: int
    name: str
    at_m: float
    changes: tuple[RollChange, ...]

    @property
    def last(self) -> RollChange | None:
        return self.changes[0] if self.changes else None


@dataclass(frozen=True)
class ChangesWanted:
    component: int | None = None
    why: str = ""
    since: date | None = None
    until: date | None = None
    also_undone: bool = False


@dataclass(frozen=True)
class ChangeRow:
    """A change with what its set is called today; `name` as then where it stands no more."""

    row: RollChange
    name: str
    roll: str
    stands: bool
    was: str

    @property
    def keeper(self) -> str:
        """Who wrote it down, where that is somebody else than who changed the roll."""
        keeper = str(self.row.kept_by or "")
        return "" if keeper == self.row.changed_by else keeper


def roll_choices(conveyor: Conveyor, component: Component) -> list[tuple[str, str]]:
    """The rolls of each set of a group, with the conveyor's own words for their sides."""
    rolls = rolls_of(component.as_part(), conveyor.trough_angle_deg)
    return [(roll.value, _words(conveyor, roll.value, len(rolls))) for roll in rolls]


def sets_of_group(component: Component, page: str | None) -> tuple[Page[int], list[SetRow]]:
    """A page of the sets of a group, in the direction of travel; one query."""
    found = Paginator(range(1, component.count + 1), _SETS).get_page(page)
    by_set: dict[int, list[RollChange]] = defaultdict(list)
    for change in _counting(component.roll_changes.filter(set_number__in=list(found))):
        by_set[change.set_number or 0].append(change)
    part = component.as_part()
    rows = [
        SetRow(
            place,
            set_words(part, place),
            part.first_m + (place - 1) * (part.spacing_m or 0.0),
            tuple(by_set[place]),
        )
        for place in found
    ]
    return found, rows


def set_sheet(conveyor: Conveyor, component: Component, set_number: int, now: datetime) -> SetSheet:
    """All that is known of one set; four queries, whatever there is."""
    ordered = sets_of(rows_of(conveyor.components.all()))
    here = next(
        place
        for place, one in enumerate(ordered)
        if (one.key, one.place) == (component.pk, set_number)
    )
    changes = list(component.roll_changes.filter(set_number=set_number).select_related("kept_by"))
    readings = component.readings.filter(set_number=set_number)[:_READINGS]
    one = ordered[here]
    return SetSheet(
        one,
        set_words(component.as_part(), set_number),
        tuple(_ages(conveyor, component, changes, now)),
        tuple(changes),
        tuple(readings),
        ordered[here - 1] if here else None,
        ordered[here + 1] if here + 1 < len(ordered) else None,
    )


def set_called(conveyor: Conveyor, name: str) -> IdlerSet | None:
    """The set of this name, whatever the case of its letters."""
    wanted = name.strip().casefold()
    sets = sets_of(rows_of(conveyor.components.all()))
    return next((one for one in sets if one.name.casefold() == wanted), None)


def page_of_changes(
    conveyor: Conveyor, wanted: ChangesWanted, number: str | None
) -> tuple[Page[RollChange], list[ChangeRow]]:
    """The newest first; two queries however long the list is."""
    rows = conveyor.roll_changes.select_related("component", "kept_by")
    if not wanted.also_undone:
        rows = rows.filter(undone_at__isnull=True)
    if wanted.component is not None:
        rows = rows.filter(component=wanted.component)
    if wanted.why:
        rows = rows.filter(why=wanted.why)
    if wanted.since:
        rows = rows.filter(changed_on__gte=wanted.since)
    if wanted.until:
        rows = rows.filter(changed_on__lte=wanted.until)
    page = Paginator(rows, _ROWS).get_page(number)
    return page, [change_row(conveyor, row) for row in page.object_list]


def change_row(conveyor: Conveyor, row: RollChange) -> ChangeRow:
    component, number = row.component, row.set_number
    count = 3
    name, stands = row.set_name, False
    if component is not None:
        count = len(rolls_of(component.as_part(), conveyor.trough_angle_deg)) or 3
        if number is not None and number <= component.count:
            stands = True
            name = set_words(component.as_part(), number)
    was = row.set_name if row.set_name != name else ""
    return ChangeRow(row, name, _words(conveyor, row.roll, count), stands, was)


def latest_changes(conveyor: Conveyor, most: int) -> list[ChangeRow]:
    rows = _counting(conveyor.roll_changes.select_related("component"))[:most]
    return [change_row(conveyor, row) for row in rows]


def kept_together(change: RollChange) -> int:
    """How many others that count were written down at the same time."""
    if change.together is None:
        return 0
    rows = _counting(RollChange.objects.filter(together=change.together))
    return rows.exclude(pk=change.pk).count()


def _counting(rows: QuerySet[RollChange]) -> QuerySet[RollChange]:
    return rows.filter(undone_at__isnull=True)


def _ages(
    conveyor: Conveyor, component: Component, changes: Sequence[RollChange], now: datetime
) -> list[RollAge]:
    rolls = rolls_of(component.as_part(), conveyor.trough_angle_deg)
    fitted: dict[RollPlace, tuple[date, RollChange | None]] = {}
    for roll in rolls:
        found = _fitted(component, roll, changes)
        if found is not None:
            fitted[roll] = found
    days = sorted({day for day, _change in fitted.values()})
    zone = conveyor.plant.zone_info
    firsts = [min(datetime.combine(day, time.min, zone), now) for day in days]
    by_day = dict(zip(days, meters.exposures_h(conveyor, firsts, now), strict=True))
    today = now.astimezone(zone).date()
    return [
        RollAge(
            roll,
            _words(conveyor, roll.value, len(rolls)),
            fitted[roll][1] if roll in fitted else None,
            fitted[roll][0] if roll in fitted else None,
            (today - fitted[roll][0]).days if roll in fitted else None,
            by_day[fitted[roll][0]] if roll in fitted else None,
        )
        for roll in rolls
    ]


def _fitted(
    component: Component, roll: RollPlace, changes: Sequence[RollChange]
) -> tuple[date, RollChange | None] | None:
    """When the roll came: with its last change, or with its group if that came later."""
    mine = [one for one in changes if one.roll == roll.value and one.undone_at is None]
    last = max(mine, key=lambda one: one.changed_on, default=None)
    day = component.fitted_on
    if last is not None and (day is None or last.changed_on >= day):
        return last.changed_on, last
    return (day, None) if day is not None else None


def _words(conveyor: Conveyor, roll: str, count: int) -> str:
    return roll_words_with_side(roll, count, conveyor.left_words, conveyor.right_words)
