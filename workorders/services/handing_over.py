"""One shift writes down what the next must know; the next says that it has taken over."""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import Plant, User
from workorders.models import HandOverNote

_AT_ONCE = timedelta(minutes=2)


class HandOverIsEmpty(DomainError):
    code = "hand_over_is_empty"


class NotYourHandOver(DomainError):
    code = "not_your_hand_over"


class TakenOverAlready(DomainError):
    code = "taken_over_already"


@transaction.atomic
def write_note(*, plant: Plant, words: str, by: User, now: datetime) -> HandOverNote:
    """Refuses with HandOverIsEmpty; the same words again at once are the same note."""
    if not words.strip():
        raise HandOverIsEmpty(_("Write what the next shift must know."))
    # Of two presses at once the second waits for the first.
    Plant.objects.select_for_update(no_key=True).get(pk=plant.pk)
    same = HandOverNote.objects.filter(
        plant=plant, written_by=by, words=words.strip(), written_at__gt=now - _AT_ONCE
    ).first()
    if same is not None:
        return same
    return HandOverNote.objects.create(
        plant=plant, words=words.strip(), written_at=now, written_by=by
    )


@transaction.atomic
def take_over(*, note_id: int, by: User, now: datetime) -> HandOverNote:
    """Say that the next shift has read it; twice keeps who said it first."""
    note = _locked(note_id)
    if note.taken_over_at is None and note.taken_back_at is None:
        note.taken_over_at, note.taken_over_by = now, by
        note.save(update_fields=["taken_over_at", "taken_over_by"])
    return note


@transaction.atomic
def set_taken_back(*, note_id: int, is_back: bool, by: User, now: datetime) -> HandOverNote:
    """Take a note of one's own back, or put it back; refuses with NotYourHandOver and, once the
    next shift has read it, TakenOverAlready."""
    note = _locked(note_id)
    if note.written_by_id != by.pk:
        raise NotYourHandOver(_("Only who wrote it takes it back. Write a note beside it."))
    if note.taken_over_at is not None:
        raise TakenOverAlready(_("The next shift has read it. Write a note that puts it right."))
    note.taken_back_at = now if is_back else None
    note.save(update_fields=["taken_back_at"])
    return note


def _locked(note_id: int) -> HandOverNote:
    return HandOverNote.objects.select_for_update(of=("self",), no_key=True).get(pk=note_id)
