"""Work seen from its case."""

from django.db.models import Exists, OuterRef, Q, QuerySet

from diagnostics.case_states import OPEN_STATES as OPEN_CASE_STATES
from diagnostics.case_states import CaseState
from diagnostics.models import Case, Finding, Hypothesis
from workorders.models import WorkOrder
from workorders.order_states import OPEN_STATES, OrderState
from workorders.selectors.proofs import TO_BE_PROVED, with_last_proof


def orders_of_case(orders: QuerySet[WorkOrder], case_id: int) -> QuerySet[WorkOrder]:
    """The newest first; each knows whether its last proof run passed."""
    return (
        with_last_proof(orders.filter(case_id=case_id))
        .select_related("conveyor__plant")
        .order_by("-raised_at", "-pk")
    )


def causes_without_work(case: Case) -> list[Hypothesis]:
    """Accepted causes of an open case whose orders were set aside or did not hold."""
    if CaseState(case.state) not in OPEN_CASE_STATES:
        return []
    counts = Q(state__in=sorted(OPEN_STATES | {OrderState.PROVED})) | TO_BE_PROVED
    orders = with_last_proof(WorkOrder.objects.filter(hypothesis=OuterRef("pk"))).filter(counts)
    accepted = Hypothesis.objects.filter(case=case, accepted_at__isnull=False)
    return list(accepted.exclude(Exists(orders)))


def findings_without_work(case: Case) -> list[Finding]:
    """What close looks of an open case found and no open order mends; one query."""
    if CaseState(case.state) not in OPEN_CASE_STATES:
        return []
    orders = WorkOrder.objects.open().filter(case=case, cause=OuterRef("cause"))
    same_place = (
        Q(component="") | Q(component__iexact=OuterRef("place")) | Q(finding=OuterRef("pk"))
    )
    found = case.findings.filter(is_present=True, taken_back_at__isnull=True)
    return list(found.exclude(Exists(orders.filter(same_place))))
