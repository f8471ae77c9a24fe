"""At the belt: steps ticked off, notes left."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import User
from workorders.models import OrderChange, OrderNote, WorkOrder, WorkStep
from workorders.order_states import OrderState
from workorders.services.locking import lock_order


class OrderIsNotInHand(DomainError):
    code = "order_is_not_in_hand"


class StepsChangedMeanwhile(DomainError):
    """The page shows another step at this place: the order was split, or merged orders parted."""

    code = "steps_changed_meanwhile"


class NoteIsEmpty(DomainError):
    code = "note_is_empty"


@transaction.atomic
def tick_step(
    *, order_id: int, place: int, by: User | None, now: datetime, seen: int | None = None
) -> WorkStep:
    """Say that a step is done; saying it twice keeps who said it first.

    `seen` is the key of the step that the page showed at this place. Two people may tick at once,
    so no version is asked for. Refuses with OrderIsNotInHand and StepsChangedMeanwhile.
    """
    order = _lock_in_hand(order_id)
    step = _step(order, place, seen)
    if step.done_at is None:
        step.done_at, step.done_by = now, by
        step.save(update_fields=["done_at", "done_by"])
        order.save(update_fields=["changed_at"])
    return step


@transaction.atomic
def untick_step(
    *, order_id: int, place: int, by: User | None, now: datetime, seen: int | None = None
) -> WorkStep:
    """A step is not done after all; that it was said stays in the log."""
    order = _lock_in_hand(order_id)
    step = _step(order, place, seen)
    if step.done_at is not None:
        OrderChange.objects.create(
            order=order,
            kind=OrderChange.Kind.STEP_UNTICKED,
            before=step.done_at.isoformat(),
            after=str(place),
            at=now,
            by=by,
        )
        step.done_at = step.done_by = None
        step.save(update_fields=["done_at", "done_by"])
        order.save(update_fields=["changed_at"])
    return step


@transaction.atomic
def add_note(*, order_id: int, words: str, by: User | None, now: datetime) -> OrderNote:
    """Leave a note, in any state of the order; refuses with NoteIsEmpty."""
    if not words.strip():
        raise NoteIsEmpty(_("The note is empty."))
    order = lock_order(order_id)
    note = OrderNote.objects.create(order=order, words=words.strip(), at=now, by=by)
    order.save(update_fields=["changed_at"])
    return note


def _step(order: WorkOrder, place: int, seen: int | None) -> WorkStep:
    step = order.steps.filter(place=place).first()
    if seen is not None and (step is None or step.pk != seen):
        raise StepsChangedMeanwhile(
            _("The steps have other numbers now. Look at them again, then tick.")
        )
    if step is None:
        raise WorkStep.DoesNotExist
    return step


def _lock_in_hand(order_id: int) -> WorkOrder:
    order = lock_order(order_id)
    if order.state != OrderState.IN_HAND:
        raise OrderIsNotInHand(
            _("%(number)s is %(state)s. Take it in hand, then tick its steps.")
            % {"number": order.number, "state": order.get_state_display()}
        )
    return order
