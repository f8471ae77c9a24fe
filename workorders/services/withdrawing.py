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
from workorders.services.coming_apart import come_apart
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
    own = WorkOrder.objects.filter(hypothesis=hypothesis)
    _withdraw(_with_split_off(own), by=by, now=now, why=reason)


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
    not_begun = _with_split_off(suggested).filter(state__in=_NOT_BEGUN)
    _withdraw(not_begun, by=by, now=now, why=reason)


def _with_split_off(orders: QuerySet[WorkOrder]) -> QuerySet[WorkOrder]:
    """What was split off from an order is for the same cause, and what was from that one."""
    found: set[int] = set()
    more = set(orders.values_list("pk", flat=True))
    while more:
        found |= more
        split_off = WorkOrder.objects.filter(split_from__in=more).values_list("pk", flat=True)
        more = set(split_off) - found
    return WorkOrder.objects.filter(pk__in=found)


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
            _let_others_go_on(order, by=by, now=now)


def _let_others_go_on(order: WorkOrder, *, by: User | None, now: datetime) -> None:
    """Work without a case that was merged into it had reasons of its own: it comes back."""
    others = WorkOrder.objects.filter(merged_into=order, state=OrderState.CANCELLED.value)
    why = _("%(number)s, which did this work too, was withdrawn.") % {"number": order.number}
    for other in others.filter(case__isnull=True).order_by("pk"):
        come_apart(other, by=by, now=now)
        put_in_state(other, OrderState.PROPOSED, by=by, now=now, why=why)
