"""Pictures and drawings of a conveyor: taken in, captioned, taken back, put back.

What is sent is read and written before anything is locked; see stored_files.py. The same file at
the same place twice is kept once and told.
"""

import hashlib
import logging
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Sum
from django.utils.translation import gettext as _

from plant import pdf_files, pictures
from plant.errors import DomainError
from plant.file_names import plain_name
from plant.models import Attachment, Component, Conveyor, User
from plant.pdf_files import DocumentRefused
from plant.pictures import Picture, PictureRefused
from plant.services.conveyor_lock import lock_conveyor
from plant.services.register_refusals import check_version, row_of
from plant.services.stored_files import WrittenFiles, written_files
from plant.services.stored_pictures import when_taken

logger = logging.getLogger(__name__)

MOST_FILES = 200
# Those taken back stay on the disk and count.
MOST_BYTES = 1_000_000_000
_GIGA = 1_000_000_000


class TooManyFiles(DomainError):
    code = "too_many_files"


class DrawingsNotTaken(DomainError):
    code = "drawings_not_taken"


@dataclass(frozen=True)
class SentFile:
    content: bytes
    name: str = ""


@dataclass(frozen=True)
class Attached:
    """What a sending came to: rows that are new, rows that were there already."""

    kept: tuple[Attachment, ...]
    known: tuple[Attachment, ...]


@dataclass(frozen=True)
class _Read:
    """A file that is what it should be; `picture` is None for a document."""

    name: str
    sha256: str
    size: int
    file: str
    small_file: str
    picture: Picture | None


def attach(
    *,
    conveyor_id: int,
    sent: Sequence[SentFile],
    component_id: int | None,
    caption: str,
    takes_documents: bool,
    by: User | None,
    now: datetime,
) -> Attached:
    """Keep files with a conveyor or its component, all or none; what is there is not kept twice.

    Refuses with PictureRefused, DocumentRefused, DrawingsNotTaken, TooManyFiles, RowIsGone.
    """
    with written_files() as files:
        read = [_read(one, files, takes_documents, now) for one in sent]
        with transaction.atomic():
            conveyor = lock_conveyor(conveyor_id)
            component = row_of(conveyor.components, component_id) if component_id else None
            known = _known(conveyor, component, read)
            fresh = {one.sha256: one for one in read if one.sha256 not in known}
            _check_room(conveyor, list(fresh.values()))
            rows = [_row(conveyor, component, one, caption, by, now) for one in fresh.values()]
            for row in rows:
                row.save()
                files.keep(row.file.name or "", row.small_file.name or "")
    logger.info("%d files of %s kept by %s.", len(rows), conveyor, by)
    return Attached(tuple(rows), tuple(known.values()))


def _read(one: SentFile, files: WrittenFiles, takes_documents: bool, now: datetime) -> _Read:
    """Of several, the refused one is named."""
    name = plain_name(one.name)
    try:
        picture = _picture_in(one.content, takes_documents)
    except (PictureRefused, DocumentRefused, DrawingsNotTaken) as refusal:
        raise type(refusal)(f"{name}: {refusal}" if name else str(refusal)) from refusal
    # Nothing of the sender's name: it would be a path, or tell who they are.
    place = f"attachments/{now:%Y/%m}/{uuid.uuid4()}"
    kept = picture.full if picture else one.content
    return _Read(
        name=name,
        sha256=hashlib.sha256(one.content).hexdigest(),
        size=len(kept),
        file=files.write(f"{place}{'.jpg' if picture else '.pdf'}", kept),
        small_file=files.write(f"{place}-small.jpg", picture.small) if picture else "",
        picture=picture,
    )


def _picture_in(content: bytes, takes_documents: bool) -> Picture | None:
    """What the file is, whatever it is called; None for a PDF."""
    if not pdf_files.begins_as_pdf(content):
        if takes_documents and not pictures.begins_as_picture(content):
            raise DocumentRefused(
                _("This is neither a PDF nor a picture that can be read (JPEG, PNG or WebP), "
                  "whatever the file is called.")
            )  # fmt: skip
        return pictures.read_picture(content)
    if not takes_documents:
        raise DrawingsNotTaken(
            _("Drawings are kept by planners and reliability leads. Pictures are taken here.")
        )
    pdf_files.check_pdf(content)
    return None


def _known(
    conveyor: Conveyor, component: Component | None, read: Sequence[_Read]
) -> dict[str, Attachment]:
    """By its sum, one that stands before one taken back.

    Under the lock, so that of two same posts the second finds the first's rows.
    No constraint of the database: groups that become one bring the same drawing twice.
    """
    rows = Attachment.objects.filter(
        conveyor=conveyor, component=component, sha256__in=[one.sha256 for one in read]
    )
    return {row.sha256: row for row in rows.order_by("taken_back_at", "pk")}


def _check_room(conveyor: Conveyor, fresh: Sequence[_Read]) -> None:
    rows = Attachment.objects.filter(conveyor=conveyor)
    standing = rows.standing().count()
    if standing + len(fresh) > MOST_FILES:
        raise TooManyFiles(
            _("A conveyor holds at most %(most)d pictures and drawings and this one has "
              "%(standing)d. Take back those that are out of date.")
            % {"most": MOST_FILES, "standing": standing}
        )  # fmt: skip
    held = rows.aggregate(held=Sum("size"))["held"] or 0
    if held + sum(one.size for one in fresh) > MOST_BYTES:
        raise TooManyFiles(
            _("The files of this conveyor, those taken back with them, would be more than "
              "%(most)d GB. Send smaller ones.")
            % {"most": MOST_BYTES // _GIGA}
        )  # fmt: skip


def _row(
    conveyor: Conveyor,
    component: Component | None,
    one: _Read,
    caption: str,
    by: User | None,
    now: datetime,
) -> Attachment:
    kind = Attachment.Kind.PICTURE if one.picture else Attachment.Kind.DOCUMENT
    return Attachment(
        conveyor=conveyor,
        component=component,
        component_name=component.name if component else "",
        kind=kind,
        caption=caption.strip(),
        file_name=one.name,
        file=one.file,
        small_file=one.small_file,
        width=one.picture.width if one.picture else None,
        height=one.picture.height if one.picture else None,
        size=one.size,
        sha256=one.sha256,
        taken_at=when_taken(one.picture, conveyor.plant.zone_info, now) if one.picture else None,
        sent_at=now,
        sent_by=by,
    )


@transaction.atomic
def caption_attachment(
    *, conveyor_id: int, attachment_id: int, caption: str, version: int | None
) -> Attachment:
    """Say otherwise what it shows; refuses with StaleForm and RowIsGone."""
    conveyor = lock_conveyor(conveyor_id)
    row = row_of(conveyor.attachments, attachment_id)
    check_version(row, version)
    row.caption = caption.strip()
    row.version += 1
    row.save(update_fields=["caption", "version"])
    return row


@transaction.atomic
def let_stand(
    *, conveyor_id: int, attachment_id: int, stands: bool, by: User | None, now: datetime
) -> Attachment:
    """Take a file back or put it back, as asked; asked for what stands already, nothing changes.

    Refuses with TooManyFiles to put back one too many, and with RowIsGone.
    """
    conveyor = lock_conveyor(conveyor_id)
    row = row_of(conveyor.attachments, attachment_id)
    if stands is (row.taken_back_at is None):
        return row
    if stands and conveyor.attachments.standing().count() >= MOST_FILES:
        raise TooManyFiles(
            _("A conveyor holds at most %(most)d pictures and drawings. Take another one back "
              "first.")
            % {"most": MOST_FILES}
        )  # fmt: skip
    row.taken_back_at, row.taken_back_by = (None, None) if stands else (now, by)
    row.version += 1
    row.save(update_fields=["taken_back_at", "taken_back_by", "version"])
    return row
