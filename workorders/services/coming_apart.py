"""A merged order comes back as an order of its own."""

from datetime import datetime

from plant.models import User
from workorders.models import OrderChange, WorkOrder
from workorders.order_sums import less
from workorders.services.locking import lock_orders
from workorders.services.order_lines import renumber, still_wanted, want_less


def come_apart(order: WorkOrder, *, by: User | None, now: datetime) -> None:
    """The caller holds the order, moves it and saves it.

    Its steps that nobody ticked, its hours and parts leave the order it went into while that one
    is open; what both ask for (tools, cautions, urgency, due date, links) stays there.
    """
    if order.merged_into_id is None:
        return
    into = lock_orders({order.merged_into_id})[order.merged_into_id]
    order.merged_into = None
    if into.is_open:
        into.steps.filter(came_from=order, done_at__isnull=True).delete()
        renumber(into)
        _give_parts_back(into, order)
        into.hours = less(into.hours, order.hours)
    into.version += 1
    into.save()
    OrderChange.objects.bulk_create(
        OrderChange(
            order=one,
            kind=OrderChange.Kind.UNMERGED,
            before=order.number,
            after=into.number,
            at=now,
            by=by,
        )
        for one in (order, into)
    )


def _give_parts_back(into: WorkOrder, order: WorkOrder) -> None:
    here = {line.part_id: line for line in into.order_parts.all()}
    for line in order.order_parts.all():
        there = here.get(line.part_id)
        if there is not None:
            want_less(there, min(still_wanted(line), still_wanted(there)))
