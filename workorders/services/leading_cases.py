"""Cases follow the work done for them."""

from datetime import datetime

from diagnostics.case_states import CaseState
from diagnostics.models import Case
from diagnostics.services import cases
from plant.models import User
from workorders import case_following
from workorders.case_following import OrderStanding
from workorders.models import WorkOrder
from workorders.order_states import OrderState


def lead_case(*, case_id: int | None, by: User | None, now: datetime, why: str = "") -> None:
    """Bring a case to where its orders want it, by legal moves; the caller holds its lock."""
    if case_id is None:
        return
    state = CaseState(Case.objects.values_list("state", flat=True).get(pk=case_id))
    wanted = case_following.case_state_wanted(state, standings(case_id))
    for step in case_following.way_to(state, wanted):
        cases.move_case(case_id=case_id, to_state=step, by=by, now=now, why=why)


def standings(case_id: int) -> list[OrderStanding]:
    orders = WorkOrder.objects.filter(case_id=case_id).prefetch_related("proof_runs")
    return [OrderStanding(OrderState(order.state), proof_failed(order)) for order in orders]


def proof_failed(order: WorkOrder) -> bool:
    """Done, watched, and off centre still: the order stays as it is and the case goes on."""
    runs = list(order.proof_runs.all())
    return bool(runs) and not runs[-1].passed and order.state == OrderState.DONE
