"""The reason for work is gone: its cause was taken back or its case ended."""

from datetime import datetime

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from diagnostics.models import Case, Hypothesis
from plant.errors import DomainError
from plant.models import User
from workorders.models import WorkOrder
from workorders.order_origins import Origin
from workorders.order_states import OrderState
from workorders.services import leading_cases
from workorders.services.moving import put_in_state

_NOT_BEGUN = [
    OrderState.PROPOSED.value,
    OrderState.APPROVED.value,
    OrderState.SCHEDULED.value,
]
_UNDER_WAY = {OrderState.IN_HAND, OrderState.DONE}


class WorkIsUnderWay(DomainError):
    code = "work_is_under_way"


@transaction.atomic
def withdraw_orders_of_cause(
    *, hypothesis: Hypothesis, by: User | None, now: datetime, why: str
) -> None:
    """Cancel what was planned for a cause that was taken back; the case is its owner's to move.

    Refuses with WorkIsUnderWay when hands are on it or it waits for its proof run.
    """
    reason = _("Cause taken back: %(why)s") % {"why": why}
    _withdraw(WorkOrder.objects.filter(hypothesis=hypothesis), by=by, now=now, why=reason)


@transaction.atomic
def withdraw_orders_of_case(*, case: Case, by: User | None, now: datetime, why: str) -> None:
    """Cancel what was planned for a case that ends without work; refuses with WorkIsUnderWay."""
    reason = _("Case ended: %(why)s") % {"why": why}
    _withdraw(WorkOrder.objects.filter(case=case), by=by, now=now, why=reason)


@transaction.atomic
def withdraw_suggested_work(
    *, hypothesis: Hypothesis, by: User | None, now: datetime, why: str
) -> None:
    """Cancel what the site proposed for a suspicion a person has refuted.

    Work with hands on it goes on: whoever does it sees the refusal on the case.
    """
    reason = _("Cause refuted: %(why)s") % {"why": why}
    suggested = WorkOrder.objects.filter(
        Q(hypothesis__isnull=True) | Q(hypothesis__accepted_at__isnull=True),
        case_id=hypothesis.case_id,
        cause=hypothesis.cause,
        component=hypothesis.component,
        origin=Origin.RULE.value,
        state__in=_NOT_BEGUN,
    )
    _withdraw(suggested, by=by, now=now, why=reason)


def _withdraw(orders: QuerySet[WorkOrder], *, by: User | None, now: datetime, why: str) -> None:
    for order in orders.select_for_update(of=("self",), no_key=True).order_by("pk"):
        state = OrderState(order.state)
        if state in _UNDER_WAY and not leading_cases.proof_failed(order):
            raise WorkIsUnderWay(
                _(
                    "%(number)s is %(state)s. Finish it or put it back to planning before its "
                    "reason is taken away."
                )
                % {"number": order.number, "state": order.get_state_display()}
            )
        if order.is_open:
            put_in_state(order, OrderState.CANCELLED, by=by, now=now, why=why[:400])
