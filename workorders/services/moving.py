"""Moving an order from state to state; only legal moves, each with who, when and why."""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import User
from workorders.models import OrderMove, WorkOrder
from workorders.order_states import (
    OPEN_STATES,
    SET_ASIDE_STATES,
    OrderState,
    is_back,
    may_move,
    needs_why,
)
from workorders.order_words import STATE_WORDS
from workorders.selectors import order_chain
from workorders.services import leading_cases, shifts_of_moves
from workorders.services.coming_apart import come_apart
from workorders.services.coming_back import check_may_come_back
from workorders.services.locking import lock_order, lock_orders

# Nobody plans farther; the ends of the calendar cannot be told in every time zone.
FARTHEST_PLAN = timedelta(days=3660)

# What the log has room for.
WHY_LENGTH = 400

_ENDED_STATES = SET_ASIDE_STATES | {OrderState.PROVED}


class IllegalOrderMove(DomainError):
    code = "illegal_order_move"


class MoveNeedsReason(DomainError):
    code = "move_needs_reason"


class ScheduleNeedsTime(DomainError):
    code = "schedule_needs_time"


class ProofRunNeeded(DomainError):
    code = "proof_run_needed"


class EarlierWorkNotDone(DomainError):
    """Whoever was told may begin all the same."""

    code = "earlier_work_not_done"


@transaction.atomic
def move_order(
    *,
    order_id: int,
    to_state: OrderState,
    by: User | None,
    now: datetime,
    why: str = "",
    planned_for: datetime | None = None,
    begins_early: bool = False,
    version: int | None = None,
) -> WorkOrder:
    """Make one legal move; the order's case follows in the same transaction.

    Refuses with OrderChangedMeanwhile, IllegalOrderMove, MoveNeedsReason, ScheduleNeedsTime,
    ProofRunNeeded, EarlierWorkNotDone unless it `begins_early` and, when a set-aside order comes
    back, as raising does.
    """
    order = lock_for_move(order_id, version)
    old = OrderState(order.state)
    _check(order, old, to_state, why)
    if old not in OPEN_STATES and to_state in OPEN_STATES:
        check_may_come_back(order)
        come_apart(order, by=by, now=now)
    if to_state is OrderState.IN_HAND and not is_back(old, to_state):
        why = _check_earlier_work(order, why, begins_early=begins_early)
    _plan(order, to_state, planned_for, now)
    put_in_state(order, to_state, by=by, now=now, why=why)
    leading_cases.lead_case(case_id=order.case_id, by=by, now=now, why=_told(order))
    return order


def lock_for_move(order_id: int, version: int | None) -> WorkOrder:
    """With the order it was merged into, which a way back changes too."""
    into_id = WorkOrder.objects.values_list("merged_into_id", flat=True).get(pk=order_id)
    if into_id is not None:
        lock_orders({order_id, into_id})
    return lock_order(order_id, version=version)


def put_in_state(
    order: WorkOrder, to_state: OrderState, *, by: User | None, now: datetime, why: str = ""
) -> None:
    """Write a move that was checked; the caller holds the lock."""
    old = OrderState(order.state)
    move = OrderMove(
        order=order, from_state=order.state, to_state=to_state.value, at=now, by=by, why=why.strip()
    )
    if to_state is OrderState.SCHEDULED:
        move.planned_for = order.planned_for
    move.save()
    order.state = to_state.value
    order.ended_at = now if to_state in _ENDED_STATES else None
    if to_state not in {OrderState.PROPOSED, OrderState.APPROVED, OrderState.SCHEDULED}:
        order.waiting_for = order.waiting_why = ""
    order.version += 1
    order.save()
    shifts_of_moves.follow(order, old, to_state, by, now)


def _check(order: WorkOrder, old: OrderState, new: OrderState, why: str) -> None:
    if not may_move(old, new):
        raise IllegalOrderMove(
            _("%(number)s is %(old)s; from there it cannot become %(new)s.")
            % {"number": order.number, "old": STATE_WORDS[old], "new": STATE_WORDS[new]}
        )
    if new is OrderState.PROVED:
        raise ProofRunNeeded(_("Only a passed proof run proves an order. Record one."))
    if needs_why(old, new) and not why.strip():
        raise MoveNeedsReason(_("Say why, in a few words; the next person will ask."))


def _check_earlier_work(order: WorkOrder, why: str, *, begins_early: bool) -> str:
    """What the log says of beginning before the work that should come first."""
    numbers = ", ".join(one.number for one in order_chain.holding_up(order))
    if not numbers:
        return why
    if not begins_early:
        raise EarlierWorkNotDone(
            _("%(number)s waits for work that is not done: %(earlier)s.")
            % {"number": order.number, "earlier": numbers}
        )
    told = _("Begun before %(earlier)s was done.") % {"earlier": numbers}
    return f"{told} {why}".strip()[:WHY_LENGTH]


def _plan(
    order: WorkOrder, to_state: OrderState, planned_for: datetime | None, now: datetime
) -> None:
    """Scheduling sets the time; going back before it clears the time."""
    if to_state is OrderState.SCHEDULED:
        # Work that is put back where it was keeps its place unless it is given another time.
        if planned_for:
            order.window = order.crew = order.planned_until = None
            order.planned_for, order.is_pinned = checked_time(planned_for, now), False
        if order.planned_for is None:
            raise ScheduleNeedsTime(_("Say for when: day and time."))
    elif to_state in {OrderState.PROPOSED, OrderState.APPROVED}:
        order.planned_for = order.planned_until = order.window = order.crew = None
        order.is_pinned = False


def checked_time(planned_for: datetime, now: datetime) -> datetime:
    if planned_for < now:
        raise ScheduleNeedsTime(_("That time is past. Give one that is still to come."))
    if planned_for > now + FARTHEST_PLAN:
        raise ScheduleNeedsTime(_("That is more than ten years ahead. Give a nearer day."))
    return planned_for


def _told(order: WorkOrder) -> str:
    return _("%(number)s is %(state)s.") % {
        "number": order.number,
        "state": STATE_WORDS[OrderState(order.state)],
    }
