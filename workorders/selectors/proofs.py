"""What the proof runs of orders said, in queries."""

from django.db.models import OuterRef, Q, QuerySet, Subquery

from workorders.models import ProofRun, WorkOrder
from workorders.order_states import OrderState

# Done, and no proof run has failed: somebody must watch the belt. After a failed one the order
# stays done and the case goes on; nothing waits for the order itself.
TO_BE_PROVED = Q(state=OrderState.DONE.value, last_proof__isnull=True)


def with_last_proof(orders: QuerySet[WorkOrder]) -> QuerySet[WorkOrder]:
    """Each order with `last_proof`: whether its last proof run passed, None before the first."""
    runs = ProofRun.objects.filter(order=OuterRef("pk")).order_by("-at", "-pk")
    return orders.annotate(last_proof=Subquery(runs.values("passed")[:1]))


def to_be_proved(orders: QuerySet[WorkOrder]) -> QuerySet[WorkOrder]:
    return with_last_proof(orders).filter(TO_BE_PROVED)
