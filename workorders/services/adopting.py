"""A cause is accepted for which work stands already: that work becomes its order."""

from datetime import datetime

from django.db.models import Exists, OuterRef, Q

from diagnostics.models import Hypothesis
from plant.models import User
from workorders.models import OrderChange, WorkOrder
from workorders.order_origins import SUGGESTIONS
from workorders.order_states import OPEN_STATES, OrderState
from workorders.services import leading_cases

# Done and not yet proved it is the same work, too.
_STANDING = sorted(state.value for state in OPEN_STATES | {OrderState.DONE})


def adopt_order(hypothesis: Hypothesis, *, by: User | None, now: datetime) -> WorkOrder | None:
    """Hand suggested work over to the cause it was for; None where there is none.

    The caller holds the case. While only proposed, its place becomes that of the accepted cause.
    """
    order = standing_for(hypothesis)
    if order is None:
        return None
    before = order.component
    order.hypothesis = hypothesis
    if order.state == OrderState.PROPOSED:
        _move_to(order, hypothesis)
    order.version += 1
    order.save()
    OrderChange.objects.create(
        order=order,
        kind=OrderChange.Kind.ADOPTED,
        before=before,
        after=order.component,
        at=now,
        by=by,
    )
    return order


def standing_for(hypothesis: Hypothesis) -> WorkOrder | None:
    """Suggested work of the case for the same cause near the same place."""
    adopted = OrderChange.objects.filter(order=OuterRef("pk"), kind=OrderChange.Kind.ADOPTED)
    suggested = WorkOrder.objects.filter(
        Q(hypothesis__isnull=True)
        | Q(hypothesis__accepted_at__isnull=True)
        | Q(hypothesis=hypothesis),
        ~Exists(adopted),
        case_id=hypothesis.case_id,
        cause=hypothesis.cause,
        origin__in=sorted(SUGGESTIONS),
        state__in=_STANDING,
    )
    rows = suggested.select_for_update(of=("self",), no_key=True).order_by("-pk")
    within_m = hypothesis.case.conveyor.plant.recurrence_distance_m
    return next(
        (
            order
            for order in rows
            if not leading_cases.proof_failed(order) and is_near(order, hypothesis, within_m)
        ),
        None,
    )


def is_near(order: WorkOrder, hypothesis: Hypothesis, within_m: float) -> bool:
    """Whether both mean one place; one that names none may be any."""
    if order.component and order.component.casefold() == hypothesis.component.casefold():
        return True
    if order.position_m is None or hypothesis.position_m is None:
        return not order.component or not hypothesis.component
    return abs(order.position_m - hypothesis.position_m) <= within_m


def _move_to(order: WorkOrder, hypothesis: Hypothesis) -> None:
    detail = hypothesis.detail
    if hypothesis.component or hypothesis.position_m is not None:
        order.component, order.zone = hypothesis.component, hypothesis.zone
        order.position_m = hypothesis.position_m
    order.side = detail.get("side") or order.side
    order.correction = detail.get("correction") or order.correction
