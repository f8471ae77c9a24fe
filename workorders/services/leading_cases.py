"""Cases follow the work done for them."""

from datetime import datetime

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Hypothesis
from diagnostics.services import cases
from plant.models import User
from workorders import case_following
from workorders.case_following import OrderStanding
from workorders.models import WorkOrder
from workorders.order_origins import SUGGESTIONS, Origin
from workorders.order_states import OrderState


def lead_case(*, case_id: int | None, by: User | None, now: datetime, why: str = "") -> None:
    """Bring a case to where its orders want it, by legal moves; the caller holds its lock."""
    if case_id is None:
        return
    state = CaseState(Case.objects.values_list("state", flat=True).get(pk=case_id))
    has_cause = has_accepted_cause(case_id)
    wanted = case_following.case_state_wanted(state, standings(case_id), has_cause=has_cause)
    for step in case_following.way_to(state, wanted):
        cases.move_case(case_id=case_id, to_state=step, by=by, now=now, why=why)


def standings(case_id: int) -> list[OrderStanding]:
    orders = WorkOrder.objects.filter(case_id=case_id).select_related("hypothesis")
    return [
        OrderStanding(OrderState(order.state), proof_failed(order), is_suggestion(order))
        for order in orders.prefetch_related("proof_runs")
    ]


def has_accepted_cause(case_id: int) -> bool:
    """Whether a person stands by a cause of the case."""
    return Hypothesis.objects.filter(case=case_id, accepted_at__isnull=False).exists()


def is_suggestion(order: WorkOrder) -> bool:
    """Work for what nobody has accepted as a cause."""
    if Origin(order.origin) not in SUGGESTIONS:
        return False
    return order.hypothesis is None or order.hypothesis.accepted_at is None


def proof_failed(order: WorkOrder) -> bool:
    """Done, watched, and off centre still: the order stays as it is and the case goes on."""
    runs = list(order.proof_runs.all())
    return bool(runs) and not runs[-1].passed and order.state == OrderState.DONE
