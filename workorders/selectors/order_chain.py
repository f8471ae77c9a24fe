"""What an order waits for, what waits for it, and which orders it came from or went into."""

from dataclasses import dataclass

from django.db.models import QuerySet

from workorders.models import OrderLink, WorkOrder
from workorders.order_states import OPEN_STATES, SET_ASIDE_STATES, OrderState

_OPEN = sorted(OPEN_STATES)


@dataclass(frozen=True)
class Chained:
    """Another order, and whether it holds the waiting one up."""

    order: WorkOrder

    @property
    def holds_up(self) -> bool:
        return self.order.is_open

    @property
    def is_set_aside(self) -> bool:
        return OrderState(self.order.state) in SET_ASIDE_STATES


@dataclass(frozen=True)
class Chain:
    waits_for: list[Chained]
    lets_begin: list[Chained]

    @property
    def holding_up(self) -> list[WorkOrder]:
        return [one.order for one in self.waits_for if one.holds_up]


def chain_of(order: WorkOrder) -> Chain:
    """By number; two queries."""
    afters = OrderLink.objects.filter(order=order).select_related("after__conveyor__plant")
    waiting = OrderLink.objects.filter(after=order).select_related("order__conveyor__plant")
    return Chain(
        [Chained(link.after) for link in afters.order_by("after__number")],
        [Chained(link.order) for link in waiting.order_by("order__number")],
    )


def holding_up(order: WorkOrder) -> QuerySet[WorkOrder]:
    """The orders that must be done before this one begins and are not."""
    return WorkOrder.objects.filter(lets_begin__order=order, state__in=_OPEN).order_by("number")


def linkable(order: WorkOrder, seen: QuerySet[WorkOrder]) -> QuerySet[WorkOrder]:
    """What an order could wait for: open work of its plant, its own conveyor's first."""
    rows = seen.filter(state__in=_OPEN, conveyor__plant=order.conveyor.plant_id)
    return rows.exclude(pk=order.pk).exclude(lets_begin__order=order)


def mergeable(order: WorkOrder, seen: QuerySet[WorkOrder]) -> QuerySet[WorkOrder]:
    """Open orders of the same conveyor, by number."""
    rows = seen.filter(state__in=_OPEN, conveyor=order.conveyor_id).exclude(pk=order.pk)
    return rows.select_related("conveyor__plant").order_by("number")


@dataclass(frozen=True)
class Kin:
    """Which orders one came from, and which came out of it or went into it."""

    merged_into: WorkOrder | None
    merged_from: list[WorkOrder]
    split_from: WorkOrder | None
    split_into: list[WorkOrder]


def kin_of(order: WorkOrder) -> Kin:
    """Up to four queries."""
    return Kin(
        order.merged_into,
        list(order.merged_from.order_by("number")),
        order.split_from,
        list(order.split_into.order_by("number")),
    )
