"""The one way to lock orders for a change: their cases first, then themselves, in order of keys.

Whoever accepts or takes back a cause holds the case and then reaches for its orders; the other way
round, two people could wait for each other.
"""

from collections.abc import Collection, Mapping

from django.utils.translation import gettext as _

from diagnostics.models import Case
from plant.errors import DomainError
from workorders.models import WorkOrder


class OrderChangedMeanwhile(DomainError):
    """Somebody else was quicker; `order` is how it stands now."""

    code = "order_changed_meanwhile"

    def __init__(self, order: WorkOrder) -> None:
        self.order = order
        super().__init__(
            _(
                "Somebody changed %(number)s while you had it open: it is %(state)s now. "
                "Look at it again, then decide."
            )
            % {"number": order.number, "state": order.get_state_display()}
        )


def lock_order(order_id: int, *, version: int | None = None) -> WorkOrder:
    """Lock an order and its case until the transaction ends.

    Refuses with OrderChangedMeanwhile when `version`, the one the person was looking at, is not
    the order's any more.
    """
    # The case of an order never changes, so it may be read before the lock.
    case_id = WorkOrder.objects.values_list("case_id", flat=True).get(pk=order_id)
    if case_id is not None:
        Case.objects.select_for_update(no_key=True).get(pk=case_id)
    order = (
        WorkOrder.objects.select_for_update(of=("self",), no_key=True)
        .select_related("conveyor__plant")
        .get(pk=order_id)
    )
    if version is not None and version != order.version:
        raise OrderChangedMeanwhile(order)
    return order


def lock_orders(
    order_ids: Collection[int], *, versions: Mapping[int, int] | None = None
) -> dict[int, WorkOrder]:
    """Lock several orders and their cases until the transaction ends; by key, those that are there.

    Refuses with OrderChangedMeanwhile for the first whose version is not the one in `versions`.
    """
    wanted = WorkOrder.objects.filter(pk__in=order_ids)
    case_ids = wanted.filter(case__isnull=False).values("case_id")
    # Whoever locks several does it in this order, so that no two wait for each other.
    list(Case.objects.select_for_update(no_key=True).filter(pk__in=case_ids).order_by("pk"))
    rows = wanted.select_for_update(of=("self",), no_key=True).select_related("conveyor__plant")
    orders = {order.pk: order for order in rows.order_by("pk")}
    for key, version in (versions or {}).items():
        if key in orders and orders[key].version != version:
            raise OrderChangedMeanwhile(orders[key])
    return orders
