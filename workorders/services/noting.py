"""Notes on an order: their writer corrects them or takes them back; what they said stays."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.models import User
from plant.services.register_refusals import RowIsGone, check_version
from workorders.models import OrderChange, OrderNote, WorkOrder
from workorders.services.doing import NoteIsEmpty
from workorders.services.locking import lock_order


@transaction.atomic
def correct_note(
    *,
    note_id: int,
    order_id: int,
    words: str,
    version: int | None,
    by: User | None,
    now: datetime,
) -> OrderNote:
    """Say it otherwise; refuses with NoteIsEmpty, StaleForm and RowIsGone."""
    if not words.strip():
        raise NoteIsEmpty(_("Write what it should say, or take the note back."))
    order, note = _lock(order_id, note_id)
    check_version(note, version)
    if note.words == words.strip():
        return note
    note.earlier = [*note.earlier, note.words]
    note.words, note.corrected_at = words.strip(), now
    return _saved(order, note, OrderChange.Kind.NOTE_CORRECTED, by, now)


@transaction.atomic
def let_note_stand(
    *, note_id: int, order_id: int, stands: bool, by: User | None, now: datetime
) -> OrderNote:
    """Take a note back or put it back, as asked; asked for what stands, nothing changes."""
    order, note = _lock(order_id, note_id)
    if stands is (note.taken_back_at is None):
        return note
    note.taken_back_at = None if stands else now
    kind = OrderChange.Kind.NOTE_PUT_BACK if stands else OrderChange.Kind.NOTE_TAKEN_BACK
    return _saved(order, note, kind, by, now)


def _lock(order_id: int, note_id: int) -> tuple[WorkOrder, OrderNote]:
    order = lock_order(order_id)
    note = OrderNote.objects.filter(pk=note_id, order=order).first()
    if note is None:
        raise RowIsGone(_("Somebody removed this while you had it open."))
    return order, note


def _saved(
    order: WorkOrder, note: OrderNote, kind: OrderChange.Kind, by: User | None, now: datetime
) -> OrderNote:
    OrderChange.objects.create(order=order, kind=kind, at=now, by=by)
    note.version += 1
    note.save()
    order.save(update_fields=["changed_at"])
    return note
