"""Which parts of open orders are here, which come when, which are short.

Reserved is what an open order still wants: its amount less what it used. It ends with the order,
since it is never written down.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import F, QuerySet
from django.utils import timezone

from plant.models import Plant
from workorders.models import OrderPart, Part, PartDue, WorkOrder
from workorders.order_states import OPEN_STATES, OrderState
from workorders.part_words import covered_words, short_words
from workorders.planning.parts_supply import Coming, Covered, Need, Rank, share_out
from workorders.urgency import Urgency

_OPEN = sorted(state.value for state in OPEN_STATES)
_URGENCY = {urgency.value: rank for rank, urgency in enumerate(Urgency)}


@dataclass(frozen=True)
class LineSupply:
    """One part of an order and how far what it still wants is covered."""

    line: OrderPart
    covered: Covered

    @property
    def wanted(self) -> Decimal:
        return self.line.amount - self.line.used

    @property
    def words(self) -> str:
        """Empty when all of it is here."""
        return covered_words(self.covered, self.line.part)


@dataclass(frozen=True)
class Supply:
    """What an order's parts say to whoever plans it.

    Attributes
    ----------
    ready_on : date or None
        When the last part that is due comes; None when all that can be had is here.
    missing : str
        Not empty: these parts are neither here nor due.
    lines : tuple of LineSupply
        In the order of their numbers.
    """

    ready_on: date | None = None
    missing: str = ""
    lines: tuple[LineSupply, ...] = ()

    @property
    def is_here(self) -> bool:
        return self.ready_on is None and not self.missing


NOTHING_WANTED = Supply()


def supply_of_orders(
    plant: Plant, orders: Iterable[WorkOrder], *, today: date | None = None
) -> dict[int, Supply]:
    """By order, two queries however many there are; `today` is the plant's own day if not told.

    All open orders of the plant share in what there is, not only those asked about. An order that
    is not open, or wants nothing, is told to have everything.
    """
    day = today or plant.day_of(timezone.now())
    return _supplies({order.pk for order in orders}, {plant.pk: day})


def supply_on_list(orders: Iterable[WorkOrder], now: datetime) -> dict[int, Supply]:
    """The same for orders of several plants, each by its own day; `conveyor.plant` is at hand."""
    rows = list(orders)
    plants = {order.conveyor.plant for order in rows}
    days = {plant.pk: plant.day_of(now) for plant in plants}
    return _supplies({order.pk for order in rows}, days)


def with_supply(orders: Iterable[WorkOrder], now: datetime) -> list[tuple[WorkOrder, Supply]]:
    """The same orders in the same order, each with its supply."""
    rows = list(orders)
    found = supply_on_list(rows, now)
    return [(row, found[row.pk]) for row in rows]


def lines_of_part(part: Part, today: date) -> list[LineSupply]:
    """The open orders that want it, whose turn is first at the top; two queries."""
    return _covered(OrderPart.objects.filter(part=part), {part.plant_id: today})


def _supplies(asked: Collection[int], days: Mapping[int, date]) -> dict[int, Supply]:
    parts = OrderPart.objects.filter(order__in=asked).values("part")
    found: dict[int, list[LineSupply]] = defaultdict(list)
    for one in _covered(OrderPart.objects.filter(part__in=parts), days):
        found[one.line.order_id].append(one)
    return {pk: _supply(found[pk]) if pk in found else NOTHING_WANTED for pk in asked}


def _covered(lines: QuerySet[OrderPart], days: Mapping[int, date]) -> list[LineSupply]:
    """All that open orders want of the parts of `lines`, in the order of need."""
    wanted = lines.filter(order__state__in=_OPEN, amount__gt=F("used"))
    rows = sorted(wanted.select_related("part__plant", "order__conveyor"), key=_rank)
    dues = PartDue.objects.waiting().filter(part__in={row.part_id for row in rows})
    coming = [Coming(one.part_id, one.amount, one.due_on) for one in dues]
    shared: dict[int, Covered] = {}
    for plant_id, today in days.items():
        mine = [row for row in rows if row.part.plant_id == plant_id]
        needs = [Need(row.pk, row.part_id, row.amount - row.used, _rank(row)) for row in mine]
        on_hand = {row.part_id: row.part.on_hand for row in mine}
        shared |= share_out(needs, on_hand, coming, today=today)
    return [LineSupply(row, shared[row.pk]) for row in rows if row.pk in shared]


def _rank(line: OrderPart) -> Rank:
    """Work in hand first, then by the planned day, else by the day it is due."""
    order = line.order
    if order.state == OrderState.IN_HAND:
        needed_on = date.min
    elif order.planned_for is not None:
        needed_on = line.part.plant.day_of(order.planned_for)
    else:
        needed_on = order.due_on or date.max
    return Rank(needed_on, _URGENCY[order.urgency], (len(order.number), order.number))


def _supply(lines: list[LineSupply]) -> Supply:
    ready = [one.covered.ready_on for one in lines if one.covered.ready_on]
    short = [short_words(one.line, one.covered.short) for one in lines if one.covered.short]
    by_number = sorted(lines, key=lambda one: one.line.part.number)
    return Supply(max(ready, default=None), ", ".join(short), tuple(by_number))
