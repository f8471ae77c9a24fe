"""What is to come: added, put off, come, called off; each of these can be taken back."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from plant.models import User
from plant.services.register_refusals import FieldRefusal, check_version
from workorders.models import Part, PartDue, PartMovement
from workorders.services.part_stock import change_stock, check_amount, lock_part

MOST_DUES = 100


class DueTwice(FieldRefusal):
    code = "part_due_twice"


class DueHasEnded(FieldRefusal):
    code = "part_due_has_ended"


class TooManyDues(FieldRefusal):
    code = "too_many_parts_due"


@transaction.atomic
def expect_part(
    *, part_id: int, amount: Decimal, due_on: date, note: str, by: User | None
) -> PartDue:
    """Refuses with DueTwice (a button pressed twice), TooManyDues and as check_amount."""
    part = lock_part(part_id)
    check_amount(part, amount, "amount")
    note = note.strip()
    waiting = part.dues.waiting()
    if waiting.filter(amount=amount, due_on=due_on, note=note).exists():
        raise DueTwice(_("That is noted already. If it comes twice, tell them apart."), "note")
    if waiting.count() >= MOST_DUES:
        raise TooManyDues(_("At most %(most)d can be due at a time.") % {"most": MOST_DUES})
    return PartDue.objects.create(part=part, amount=amount, due_on=due_on, note=note, said_by=by)


@transaction.atomic
def put_off(
    *,
    due_id: int,
    amount: Decimal,
    due_on: date,
    note: str,
    version: int | None,
    by: User | None,
) -> PartDue:
    """Another day, amount or note for what is due; refuses with StaleForm and DueHasEnded."""
    part, due = _lock(due_id)
    check_version(due, version)
    _check_waiting(due)
    check_amount(part, amount, "amount")
    due.amount, due.due_on, due.note, due.said_by = amount, due_on, note.strip(), by
    return _saved(due)


@transaction.atomic
def take_in(
    *, due_id: int, amount: Decimal, version: int | None, by: User | None, now: datetime
) -> PartDue:
    """So many came; the rest, if any, stays due. Refuses with StaleForm and DueHasEnded."""
    part, due = _lock(due_id)
    check_version(due, version)
    _check_waiting(due)
    came = PartMovement.Kind.CAME
    change_stock(part, amount, came, by=by, now=now, why=_due_words(due))
    rest = due.amount - amount
    due.amount, due.came_at, due.said_by = amount, now, by
    if rest > 0:
        PartDue.objects.create(part=part, amount=rest, due_on=due.due_on, note=due.note, said_by=by)
    return _saved(due)


@transaction.atomic
def take_in_back(*, due_id: int, by: User | None, now: datetime) -> PartDue:
    """It has not come after all; refuses with DueHasEnded and NotSoManyHere once it was used."""
    part, due = _lock(due_id)
    if due.came_at is None:
        raise DueHasEnded(_("It is still due."))
    change_stock(part, -due.amount, PartMovement.Kind.NOT_CAME, by=by, now=now, why=_due_words(due))
    due.came_at, due.said_by = None, by
    return _saved(due)


@transaction.atomic
def call_off(*, due_id: int, version: int | None, by: User | None, now: datetime) -> PartDue:
    """It will not come; refuses with StaleForm and DueHasEnded."""
    _part, due = _lock(due_id)
    check_version(due, version)
    _check_waiting(due)
    due.called_off_at, due.said_by = now, by
    return _saved(due)


@transaction.atomic
def expect_after_all(*, due_id: int, by: User | None) -> PartDue:
    """What was called off is due again; refuses with DueHasEnded when it is not called off."""
    _part, due = _lock(due_id)
    if due.called_off_at is None:
        raise DueHasEnded(_("It is not called off."))
    due.called_off_at, due.said_by = None, by
    return _saved(due)


def _lock(due_id: int) -> tuple[Part, PartDue]:
    """The part first, as everybody does; a due never changes its part."""
    part = lock_part(PartDue.objects.values_list("part_id", flat=True).get(pk=due_id))
    return part, PartDue.objects.get(pk=due_id)


def _check_waiting(due: PartDue) -> None:
    if due.came_at is not None:
        raise DueHasEnded(_("It has come already."))
    if due.called_off_at is not None:
        raise DueHasEnded(_("It is called off. Bring it back first."))


def _due_words(due: PartDue) -> str:
    words = _("Due %(day)s.") % {"day": due.due_on.isoformat()}
    return f"{words} {due.note}"[:200].strip()


def _saved(due: PartDue) -> PartDue:
    due.version += 1
    due.save()
    return due
