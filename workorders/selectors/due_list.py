"""The due list as its page shows it: narrowed, by month ahead, with the orders that stand."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import islice

from django.db.models import Count, Q, QuerySet
from django.db.models.functions import TruncMonth

from workorders import due_words
from workorders.models import DueItem, DueOrder, WorkOrder
from workorders.month import Month

MONTHS = 12
_CHUNK = 2000


@dataclass(frozen=True)
class DueWanted:
    """`plant` is a code, `tag` a conveyor's; empty narrows nothing."""

    plant: str = ""
    tag: str = ""
    month: str = ""
    what: str = ""


@dataclass(frozen=True)
class MonthCount:
    month: Month
    count: int

    @property
    def first(self) -> date:
        return self.month.first


@dataclass(frozen=True)
class DueRow:
    """A row in words; `order` is its open order, `past` the last that is open no more."""

    item: DueItem
    month: Month
    is_late: bool
    where: str
    count: str
    why: str
    interval: str
    order: WorkOrder | None
    past: WorkOrder | None


def months_ahead(today: date) -> list[Month]:
    """The present one and those after it."""
    return [Month.of(today).ahead(step) for step in range(MONTHS)]


def items_wanted(
    seen: QuerySet[DueItem], wanted: DueWanted, today: date, *, any_month: bool = False
) -> QuerySet[DueItem]:
    """The soonest first; what is late belongs to the present month."""
    rows = seen.filter(
        conveyor__retired_on__isnull=True, due_on__lt=Month.of(today).ahead(MONTHS).first
    )
    if wanted.plant:
        rows = rows.filter(conveyor__plant__code=wanted.plant)
    if wanted.tag:
        rows = rows.filter(conveyor__tag__iexact=wanted.tag)
    if wanted.what:
        rows = rows.filter(what=wanted.what)
    asked = next((one for one in months_ahead(today) if one.code == wanted.month), None)
    if asked is not None and not any_month:
        in_month = Q(due_on__lt=asked.ahead(1).first)
        if asked != Month.of(today):
            in_month &= Q(due_on__gte=asked.first)
        rows = rows.filter(in_month)
    return rows.select_related("conveyor__plant", "component", "reading").order_by(
        "due_on", "conveyor__tag", "key"
    )


def month_counts(seen: QuerySet[DueItem], wanted: DueWanted, today: date) -> list[MonthCount]:
    """How many rows each month has, the other filters kept; one query."""
    rows = items_wanted(seen, wanted, today, any_month=True).order_by()
    by_month = rows.select_related(None).annotate(begins=TruncMonth("due_on"))
    counts: dict[Month, int] = {}
    for begins, count in by_month.values_list("begins").annotate(Count("pk")):
        month = max(Month.of(begins), Month.of(today))
        counts[month] = counts.get(month, 0) + count
    return [MonthCount(one, counts.get(one, 0)) for one in months_ahead(today)]


def rows_of(items: Sequence[DueItem], today: date, now: datetime) -> list[DueRow]:
    """Rows in words with their orders; one query. Each is late by the day of its own plant."""
    links = DueOrder.objects.filter(
        conveyor__in={one.conveyor_id for one in items}, key__in={one.key for one in items}
    )
    latest: dict[tuple[int, str], WorkOrder] = {}
    for link in links.select_related("order").order_by("pk"):
        latest[link.conveyor_id, link.key] = link.order
    return [_row(one, latest.get((one.conveyor_id, one.key)), today, now) for one in items]


def all_rows(items: QuerySet[DueItem], today: date, now: datetime) -> Iterator[DueRow]:
    """Every row, however many: a file to take away leaves nothing out. A query per two thousand."""
    kept = items.iterator(chunk_size=_CHUNK)
    while chunk := list(islice(kept, _CHUNK)):
        yield from rows_of(chunk, today, now)


def _row(item: DueItem, order: WorkOrder | None, today: date, now: datetime) -> DueRow:
    is_open = order is not None and order.is_open
    return DueRow(
        item,
        max(Month.of(item.due_on), Month.of(today)),
        item.due_on <= item.conveyor.plant.day_of(now),
        due_words.where_words(item),
        due_words.count_words(item),
        due_words.why_words(item),
        due_words.interval_words(item),
        order if is_open else None,
        None if is_open else order,
    )
