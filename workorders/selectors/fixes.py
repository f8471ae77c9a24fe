"""What was done against cases, as the rooms below ask for it."""

from collections import defaultdict
from collections.abc import Collection, Mapping

from django.db.models import OuterRef, Subquery
from django.urls import reverse

from diagnostics.fixes import Fix
from workorders.models import OrderMove, WorkOrder
from workorders.order_states import OrderState


def fixes_of_cases(case_ids: Collection[int]) -> Mapping[int, list[Fix]]:
    """Orders that were done, the first done first; one query."""
    done = OrderMove.objects.filter(order=OuterRef("pk"), to_state=OrderState.DONE)
    orders = (
        WorkOrder.objects.filter(
            case_id__in=case_ids, state__in=[OrderState.DONE, OrderState.PROVED]
        )
        .annotate(done_at=Subquery(done.order_by("-at", "-pk").values("at")[:1]))
        .order_by("done_at", "pk")
    )
    found: dict[int, list[Fix]] = defaultdict(list)
    for order in orders:
        address = reverse("order", args=[order.number])
        if order.case_id is not None:
            found[order.case_id].append(
                Fix(order.number, order.title, order.done_at, address, order.work_method)
            )
    return found


def raising_address(conveyor_id: int) -> str:
    """Where work on a conveyor is raised by hand."""
    return f"{reverse('order-new')}?conveyor={conveyor_id}"
