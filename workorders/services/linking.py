"""Orders that cannot begin before others are done: links between orders of one plant."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import Plant, User
from workorders.models import OrderChange, OrderLink, WorkOrder
from workorders.order_chains import waits_from, way_back
from workorders.order_states import SET_ASIDE_STATES, OrderState
from workorders.services.locking import OrderChangedMeanwhile, lock_orders
from workorders.services.waiting import check_open


class LinkRefused(DomainError):
    code = "link_refused"


class WouldWaitForItself(LinkRefused):
    code = "would_wait_for_itself"


@transaction.atomic
def link_orders(
    *, order_id: int, after_id: int, by: User | None, now: datetime, version: int | None = None
) -> OrderLink:
    """Say that an order cannot begin before another one is done; both logs tell it.

    Refuses with OrderChangedMeanwhile, OrderIsNotOpen, LinkRefused and WouldWaitForItself.
    """
    order, after = _lock_both(order_id, after_id, version)
    check_open(order)
    if after.conveyor.plant_id != order.conveyor.plant_id:
        raise LinkRefused(_("That order belongs to another plant."))
    if OrderState(after.state) in SET_ASIDE_STATES:
        raise LinkRefused(
            _("%(number)s is %(state)s; nothing waits for it.")
            % {"number": after.number, "state": after.get_state_display()}
        )
    lock_links(order.conveyor.plant_id)
    if OrderLink.objects.filter(order=order, after=after).exists():
        raise LinkRefused(
            _("%(number)s waits for %(after)s already.")
            % {"number": order.number, "after": after.number}
        )
    _check_no_circle(order, after)
    link = OrderLink.objects.create(order=order, after=after, at=now, by=by)
    _tell(order, after, OrderChange.Kind.LINKED, by, now)
    return link


@transaction.atomic
def unlink_orders(
    *, order_id: int, after_id: int, by: User | None, now: datetime, version: int | None = None
) -> None:
    """The order need not wait for the other one; said twice, nothing changes."""
    order, after = _lock_both(order_id, after_id, version)
    gone, _by_kind = OrderLink.objects.filter(order=order, after=after).delete()
    if gone:
        _tell(order, after, OrderChange.Kind.UNLINKED, by, now)


def lock_links(plant_id: int) -> None:
    """Hold every link of a plant still; after the orders, as numbering does.

    Two links between four different orders may close a circle together, though neither does alone.
    """
    Plant.objects.select_for_update(no_key=True).get(pk=plant_id)


def waits_of(plant_id: int) -> dict[int, set[int]]:
    links = OrderLink.objects.filter(order__conveyor__plant=plant_id)
    return waits_from(links.values_list("order_id", "after_id"))


def way_words(way: tuple[int, ...]) -> str:
    """The numbers of some orders, in this order."""
    numbers = dict(WorkOrder.objects.filter(pk__in=way).values_list("pk", "number"))
    return ", ".join(numbers[key] for key in way)


def _lock_both(order_id: int, after_id: int, version: int | None) -> tuple[WorkOrder, WorkOrder]:
    if order_id == after_id:
        raise WouldWaitForItself(_("An order cannot wait for itself."))
    orders = lock_orders({order_id, after_id})
    if version is not None and orders[order_id].version != version:
        raise OrderChangedMeanwhile(orders[order_id])
    return orders[order_id], orders[after_id]


def _check_no_circle(order: WorkOrder, after: WorkOrder) -> None:
    way = way_back(waits_of(order.conveyor.plant_id), order.pk, after.pk)
    if way:
        raise WouldWaitForItself(
            _("%(after)s itself waits for %(number)s (%(way)s); none of them could ever begin.")
            % {"after": after.number, "number": order.number, "way": way_words(way)}
        )


def _tell(
    order: WorkOrder, after: WorkOrder, kind: OrderChange.Kind, by: User | None, now: datetime
) -> None:
    """`before` names who waits, `after` whom it waits for: the same line stands in both logs."""
    OrderChange.objects.bulk_create(
        OrderChange(order=one, kind=kind, before=order.number, after=after.number, at=now, by=by)
        for one in (order, after)
    )
    order.version += 1
    order.save()
    after.save(update_fields=["changed_at"])
