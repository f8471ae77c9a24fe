"""Notes from the field: written, changed with the earlier text kept, ended, taken back.

Photos are read and written before anything is locked; see plant/services/stored_files.py.
"""

import logging
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from diagnostics.models import EarlierText, FieldNote, NotePhoto
from diagnostics.services.walking import ClientIdTaken
from plant.errors import DomainError
from plant.models import Component, Conveyor, Plant, User
from plant.services.register_refusals import RowIsGone, check_version
from plant.services.stored_files import WrittenFiles, written_files
from plant.services.stored_pictures import StoredPicture, read_one_of, store

logger = logging.getLogger(__name__)

MOST_PHOTOS = 8


class NoteIsEmpty(DomainError):
    code = "note_is_empty"


class NoteIsAboutNothing(DomainError):
    code = "note_is_about_nothing"


class ReasonMissing(DomainError):
    code = "reason_missing"


class TooManyNotePhotos(DomainError):
    code = "too_many_note_photos"


@dataclass(frozen=True)
class Subject:
    """What a note is about: a cause, a conveyor, a place or component on it, or several of them."""

    cause: str = ""
    conveyor: Conveyor | None = None
    component: Component | None = None
    place: str = ""
    position_m: float | None = None


@dataclass(frozen=True)
class NewNote:
    client_id: uuid.UUID
    text: str
    # Name and bytes of each photo.
    photos: Sequence[tuple[str, bytes]] = ()


def write_note(
    *, plant: Plant, about: Subject, new: NewNote, by: User | None, now: datetime
) -> FieldNote:
    """Keep a note with its photos; the same form sent again keeps nothing twice.

    Refuses with NoteIsEmpty, NoteIsAboutNothing, TooManyNotePhotos and PictureRefused.
    """
    known = FieldNote.objects.filter(client_id=new.client_id, plant=plant).first()
    if known is not None:
        return known
    _check(about, new.text)
    with written_files() as files:
        stored = _stored(new.photos, files, now)
        try:
            with transaction.atomic():
                note = _note(plant, about, new, by, now)
                note.save()
                _add_photos(note, stored, files)
        except IntegrityError as error:
            # Pressed twice at once: the other press was quicker.
            known = FieldNote.objects.filter(client_id=new.client_id, plant=plant).first()
            if known is None:
                raise ClientIdTaken(
                    _("This note belongs to another plant. Open the page again.")
                ) from error
            return known
    logger.info("Field note %s kept by %s.", note.pk, by)
    return note


def _check(about: Subject, text: str) -> None:
    if not text.strip():
        raise NoteIsEmpty(_("Write what the next person should know."))
    if not about.cause and about.conveyor is None:
        raise NoteIsAboutNothing(_("Say what the note is about: a cause or a conveyor."))


def _note(plant: Plant, about: Subject, new: NewNote, by: User | None, now: datetime) -> FieldNote:
    component = about.component
    return FieldNote(
        plant=plant,
        cause=about.cause,
        conveyor=about.conveyor,
        component=component,
        place=(about.place or (component.name if component else ""))[:48],
        position_m=about.position_m,
        text=new.text.strip(),
        written_at=now,
        written_by=by,
        client_id=new.client_id,
    )


def _stored(
    photos: Sequence[tuple[str, bytes]], files: WrittenFiles, now: datetime
) -> list[StoredPicture]:
    if len(photos) > MOST_PHOTOS:
        raise TooManyNotePhotos(_too_many())
    read = [read_one_of(name, content, len(photos)) for name, content in photos]
    return [store(picture, files, "notes", now) for picture in read]


def _add_photos(note: FieldNote, stored: Sequence[StoredPicture], files: WrittenFiles) -> None:
    for one in stored:
        NotePhoto.objects.create(
            note=note,
            file=one.file,
            small_file=one.small_file,
            width=one.picture.width,
            height=one.picture.height,
            size=len(one.picture.full),
        )
        files.keep(one.file, one.small_file)


def _too_many() -> str:
    return _("A note holds at most %(most)d photos.") % {"most": MOST_PHOTOS}


def change_note(
    *,
    note_id: int,
    new: NewNote,
    version: int | None,
    by: User | None,
    now: datetime,
) -> FieldNote:
    """Say it otherwise, the earlier text kept, and add photos.

    Refuses with NoteIsEmpty, TooManyNotePhotos, PictureRefused, StaleForm and RowIsGone.
    """
    text = new.text.strip()
    if not text:
        raise NoteIsEmpty(_("Write what the next person should know, or take the note back."))
    with written_files() as files:
        stored = _stored(new.photos, files, now)
        with transaction.atomic():
            note = _locked(note_id)
            check_version(note, version)
            if note.photos.count() + len(stored) > MOST_PHOTOS:
                raise TooManyNotePhotos(_too_many())
            if note.text != text:
                EarlierText.objects.create(note=note, text=note.text, until=now, changed_by=by)
            note.text = text
            _save(note, "text")
            _add_photos(note, stored, files)
    return note


@transaction.atomic
def end_note(*, note_id: int, why: str, by: User | None, now: datetime) -> FieldNote:
    """Say that it is no longer so, and why; said again, the first reason stands.

    Refuses with ReasonMissing and RowIsGone.
    """
    note = _locked(note_id)
    if note.no_longer_at is not None:
        return note
    if not why.strip():
        raise ReasonMissing(_("Say why it is no longer so."))
    note.no_longer_at, note.no_longer_by, note.no_longer_why = now, by, why.strip()[:200]
    _save(note, "no_longer_at", "no_longer_by", "no_longer_why")
    return note


@transaction.atomic
def let_hold_again(*, note_id: int) -> FieldNote:
    """Take back that it is no longer so."""
    note = _locked(note_id)
    if note.no_longer_at is not None:
        note.no_longer_at, note.no_longer_by, note.no_longer_why = None, None, ""
        _save(note, "no_longer_at", "no_longer_by", "no_longer_why")
    return note


@transaction.atomic
def let_count(*, note_id: int, counts: bool, by: User | None, now: datetime) -> FieldNote:
    """Take a note back or put it back, as asked; asked for what stands, nothing changes."""
    note = _locked(note_id)
    if counts is (note.taken_back_at is None):
        return note
    note.taken_back_at, note.taken_back_by = (None, None) if counts else (now, by)
    _save(note, "taken_back_at", "taken_back_by")
    return note


def _locked(note_id: int) -> FieldNote:
    rows = FieldNote.objects.select_for_update(of=("self",), no_key=True)
    note = rows.filter(pk=note_id).first()
    if note is None:
        raise RowIsGone(_("Somebody removed this while you had it open."))
    return note


def _save(note: FieldNote, *fields: str) -> None:
    note.version += 1
    note.save(update_fields=[*fields, "version"])
