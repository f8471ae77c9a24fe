"""Condition readings of a conveyor: the list with what it asks, a chart, what a round goes past."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.core.paginator import Page, Paginator
from django.db.models import F, QuerySet, Window
from django.db.models.functions import Lag, Lower

from plant.condition_words import doubt_words
from plant.loop.condition import Quantity, doubts_of
from plant.loop.vocabulary import ComponentKind
from plant.models import ConditionReading, Conveyor, RollChange
from plant.roll_words import set_words

_ROWS = 40
OF_BELT = "belt"
# A chart holds no more: the table beside it has all of them.
_MOST_POINTS, _MOST_LINES = 400, 6


@dataclass(frozen=True)
class ReadingsWanted:
    """`of` is the key of a component, or OF_BELT."""

    quantity: Quantity | None = None
    of: str = ""


@dataclass(frozen=True)
class ConditionRow:
    row: ConditionReading
    where: str
    doubts: tuple[str, ...]


def page_of_readings(
    conveyor: Conveyor, wanted: ReadingsWanted, number: str | None
) -> tuple[Page[ConditionReading], list[ConditionRow]]:
    """The newest first; three queries however long the list is."""
    page = Paginator(_with_the_one_before(_wanted(conveyor, wanted)), _ROWS).get_page(number)
    rows = list(page.object_list)
    renewed = _rolls_renewed(rows)
    return page, [ConditionRow(row, where_words(row), _doubts(row, renewed)) for row in rows]


def asked_about(rows: Iterable[ConditionReading]) -> list[ConditionRow]:
    """Those of a few readings just kept that are unlikely; one query each, and one."""
    told: list[Any] = list(rows)
    for row in told:
        same = ConditionReading.objects.filter(
            component=row.component,
            belt=row.belt,
            set_number=row.set_number,
            spot__iexact=row.spot,
            quantity=row.quantity,
            taken_at__lt=row.taken_at,
        )
        before = same.first()
        row.value_before = before.value if before else None
        row.taken_before = before.taken_at if before else None
    renewed = _rolls_renewed(told)
    found = [ConditionRow(row, where_words(row), _doubts(row, renewed)) for row in told]
    return [one for one in found if one.doubts]


def where_words(row: ConditionReading) -> str:
    """`C12, left wing`, `Head pulley, middle` or the belt."""
    if row.component is None:
        name = str(row.belt) if row.belt is not None else ""
    elif row.set_number is not None:
        name = set_words(row.component.as_part(), row.set_number)
    else:
        name = row.component.name
    return f"{name}, {row.spot}" if row.spot else name


def chart_of(conveyor: Conveyor, wanted: ReadingsWanted) -> dict[str, Any] | None:
    """A quantity of one component or of the belt over time; None with less than two readings."""
    if wanted.quantity is None or not wanted.of:
        return None
    rows = list(_wanted(conveyor, wanted)[:_MOST_POINTS])
    names = list(dict.fromkeys(where_words(row) for row in rows))[:_MOST_LINES]
    points = [
        {
            "at": _local(row.taken_at, conveyor.plant.zone_info),
            "value": row.value,
            "where": where_words(row),
        }
        for row in rows
        if where_words(row) in names
    ]
    if len(points) < 2:
        return None
    return {"quantity": wanted.quantity, "points": points, "names": names}


def _wanted(conveyor: Conveyor, wanted: ReadingsWanted) -> QuerySet[ConditionReading]:
    rows = conveyor.readings.select_related("component", "belt", "kept_by")
    if wanted.quantity is not None:
        rows = rows.filter(quantity=wanted.quantity.value)
    if wanted.of == OF_BELT:
        rows = rows.filter(belt__isnull=False)
    elif wanted.of:
        rows = rows.filter(component=int(wanted.of))
    return rows


def _with_the_one_before(rows: QuerySet[ConditionReading]) -> QuerySet[ConditionReading]:
    """Each reading with the one before it at the same place."""
    same: list[Any] = [F("component"), F("belt"), F("set_number"), Lower("spot"), F("quantity")]
    in_time = [F("taken_at").asc(), F("pk").asc()]
    return rows.annotate(
        value_before=Window(Lag("value"), partition_by=same, order_by=in_time),
        taken_before=Window(Lag("taken_at"), partition_by=same, order_by=in_time),
    )


def _rolls_renewed(rows: Sequence[Any]) -> dict[int, list[RollChange]]:
    after = [row for row in rows if row.component_id and row.taken_before]
    if not after:
        return {}
    changes = RollChange.objects.filter(
        component__in={row.component_id for row in after},
        changed_on__gte=min(row.conveyor.plant.day_of(row.taken_before) for row in after),
        undone_at__isnull=True,
    )
    found: dict[int, list[RollChange]] = {}
    for change in changes:
        assert change.component_id is not None
        found.setdefault(change.component_id, []).append(change)
    return found


def _doubts(row: Any, renewed: dict[int, list[RollChange]]) -> tuple[str, ...]:
    if row.is_sure:
        return ()
    quantity = Quantity(row.quantity)
    kind = ComponentKind(row.component.kind) if row.component else None
    found = doubts_of(
        quantity,
        row.value,
        kind=kind,
        before=row.value_before,
        was_replaced=row.taken_before is not None and _was_replaced(row, renewed),
    )
    return tuple(doubt_words(one, quantity, row.value_before) for one in found)


def _was_replaced(row: Any, renewed: dict[int, list[RollChange]]) -> bool:
    """Whether something new was fitted there since the reading before."""
    plant = row.conveyor.plant
    first, last = plant.day_of(row.taken_before), plant.day_of(row.taken_at)

    def is_between(day: date | None) -> bool:
        return day is not None and first <= day <= last

    owner = row.component or row.belt
    rolls = renewed.get(row.component_id, [])
    return is_between(owner.fitted_on) or any(
        is_between(one.changed_on)
        for one in rolls
        if row.set_number is None or one.set_number == row.set_number
    )


def _local(moment: datetime, zone: ZoneInfo) -> str:
    return f"{moment.astimezone(zone):%Y-%m-%dT%H:%M:%S}"
