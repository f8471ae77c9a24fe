"""Orders and the plan as tables to take away: plain headers, times in the plant's own zone."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from workorders.models import WorkOrder
from workorders.order_states import OrderState

# More is for the interface, which hands out page by page.
MOST_ROWS = 20_000
_CHUNK = 2000
# What a plan is about: neither what is only wished for nor what was set aside.
_PLANNED = (
    OrderState.SCHEDULED.value,
    OrderState.IN_HAND.value,
    OrderState.DONE.value,
    OrderState.PROVED.value,
)

Row = list[Any]


@dataclass(frozen=True)
class _Column:
    header: str | Promise
    value: Callable[[WorkOrder], Any]


def header(columns: tuple[_Column, ...]) -> list[str]:
    return [str(one.header) for one in columns]


def order_rows(orders: QuerySet[WorkOrder]) -> Iterator[Row]:
    """In the order of the queryset; a fixed number of queries for each two thousand."""
    return _rows(orders, ORDERS)


def plan_rows(orders: QuerySet[WorkOrder]) -> Iterator[Row]:
    return _rows(orders, PLAN)


def planned_between(
    orders: QuerySet[WorkOrder], first: date, last: date, zones: set[ZoneInfo]
) -> QuerySet[WorkOrder]:
    """What is planned from the first day to the last one, whole days of every zone asked about."""
    begins = min(datetime.combine(first, time(), zone) for zone in zones)
    ends = max(datetime.combine(last + timedelta(days=1), time(), zone) for zone in zones)
    return orders.filter(
        state__in=_PLANNED, planned_for__gte=begins, planned_for__lt=ends
    ).order_by("planned_for", "pk")


def _rows(orders: QuerySet[WorkOrder], columns: tuple[_Column, ...]) -> Iterator[Row]:
    rows = orders.select_related("conveyor__plant", "case", "window", "crew")
    for order in rows[:MOST_ROWS].iterator(chunk_size=_CHUNK):
        yield [column.value(order) for column in columns]


def _local(order: WorkOrder, moment: datetime | None) -> datetime | None:
    """In the plant's own time and without its zone, which stands in a column of its own."""
    if moment is None:
        return None
    local = timezone.localtime(moment, order.conveyor.plant.zone_info)
    return local.replace(microsecond=0, tzinfo=None)


def _yes_no(is_so: bool) -> str:
    return _("yes") if is_so else _("no")


_NUMBER = _Column(gettext_lazy("Order"), lambda order: order.number)
_WHAT = _Column(gettext_lazy("What"), lambda order: order.title)
_PLANT = _Column(gettext_lazy("Plant"), lambda order: order.conveyor.plant.name)
_TAG = _Column(gettext_lazy("Conveyor"), lambda order: order.conveyor.tag)
_NAME = _Column(gettext_lazy("Conveyor's name"), lambda order: order.conveyor.name)
_STATE = _Column(gettext_lazy("State"), lambda order: order.get_state_display())
_URGENCY = _Column(gettext_lazy("Urgency"), lambda order: order.get_urgency_display())
_FROM = _Column(gettext_lazy("Planned from"), lambda order: _local(order, order.planned_for))
_UNTIL = _Column(gettext_lazy("Planned until"), lambda order: _local(order, order.planned_until))
_WINDOW = _Column(gettext_lazy("Window"), lambda order: order.window and order.window.name)
_CREW = _Column(gettext_lazy("Crew"), lambda order: order.crew and order.crew.name)
_HOURS = _Column(gettext_lazy("Hours"), lambda order: order.hours)
_PEOPLE = _Column(gettext_lazy("People at a time"), lambda order: order.people)
_ISOLATION = _Column(gettext_lazy("Needs isolation"), lambda order: _yes_no(order.needs_isolation))
_DUE = _Column(gettext_lazy("Due"), lambda order: order.due_on)
_ZONE = _Column(
    gettext_lazy("Time zone of the times"), lambda order: order.conveyor.plant.time_zone
)

ORDERS = (
    _NUMBER,
    _WHAT,
    _PLANT,
    _TAG,
    _NAME,
    _Column(gettext_lazy("Area"), lambda order: order.conveyor.area),
    _STATE,
    _URGENCY,
    _Column(
        gettext_lazy("Waits for"),
        lambda order: order.get_waiting_for_display() if order.waiting_for else None,
    ),
    _Column(gettext_lazy("Why it waits"), lambda order: order.waiting_why),
    _Column(
        gettext_lazy("Zone of the loop"),
        lambda order: order.get_zone_display() if order.zone else None,
    ),
    _Column(gettext_lazy("At"), lambda order: order.component),
    _Column(gettext_lazy("Loop position [m]"), lambda order: order.position_m),
    _Column(gettext_lazy("Case"), lambda order: order.case and order.case.number),
    _Column(gettext_lazy("Raised"), lambda order: _local(order, order.raised_at)),
    _Column(gettext_lazy("Not before"), lambda order: order.earliest_on),
    _DUE,
    _FROM,
    _UNTIL,
    _WINDOW,
    _CREW,
    _HOURS,
    _PEOPLE,
    _ISOLATION,
    _Column(gettext_lazy("Number in the other system"), lambda order: order.external_number),
    _ZONE,
)
PLAN = (
    _PLANT,
    _WINDOW,
    _Column(
        gettext_lazy("Window from"),
        lambda order: order.window and _local(order, order.window.starts_at),
    ),
    _Column(
        gettext_lazy("Window until"),
        lambda order: order.window and _local(order, order.window.ends_at),
    ),
    _Column(
        gettext_lazy("Window called off"),
        lambda order: order.window and _yes_no(order.window.called_off_at is not None),
    ),
    _CREW,
    _NUMBER,
    _WHAT,
    _TAG,
    _NAME,
    _FROM,
    _UNTIL,
    _HOURS,
    _PEOPLE,
    _ISOLATION,
    _STATE,
    _URGENCY,
    _DUE,
    _Column(gettext_lazy("Pinned"), lambda order: _yes_no(order.is_pinned)),
    _ZONE,
)
