"""Work seen from its case."""

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery

from diagnostics.case_states import OPEN_STATES as OPEN_CASE_STATES
from diagnostics.case_states import CaseState
from diagnostics.models import Case, Hypothesis
from workorders.models import ProofRun, WorkOrder
from workorders.order_states import OPEN_STATES, OrderState


def orders_of_case(orders: QuerySet[WorkOrder], case_id: int) -> QuerySet[WorkOrder]:
    """The newest first; each knows whether its last proof run passed."""
    return (
        orders.filter(case_id=case_id)
        .select_related("conveyor__plant")
        .annotate(last_proof=_last_proof())
        .order_by("-raised_at", "-pk")
    )


def to_be_proved(orders: QuerySet[WorkOrder]) -> QuerySet[WorkOrder]:
    """Done, and no proof run has failed: somebody must watch the belt."""
    return (
        orders.filter(state=OrderState.DONE)
        .annotate(last_proof=_last_proof())
        .filter(Q(last_proof__isnull=True) | Q(last_proof=True))
    )


def causes_without_work(case: Case) -> list[Hypothesis]:
    """Accepted causes of an open case whose orders were set aside or did not hold."""
    if CaseState(case.state) not in OPEN_CASE_STATES:
        return []
    orders = WorkOrder.objects.filter(hypothesis=OuterRef("pk")).annotate(last_proof=_last_proof())
    counts = Q(state__in=sorted(OPEN_STATES | {OrderState.PROVED})) | Q(
        state=OrderState.DONE, last_proof__isnull=True
    )
    accepted = Hypothesis.objects.filter(case=case, accepted_at__isnull=False)
    return list(accepted.exclude(Exists(orders.filter(counts))))


def _last_proof() -> Subquery:
    runs = ProofRun.objects.filter(order=OuterRef("pk")).order_by("-at", "-pk")
    return Subquery(runs.values("passed")[:1])
