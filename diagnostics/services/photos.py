"""Photos: take them in, take one back.

A picture is decoded and written anew before anything is locked; its files stand in the storage
before its row does, and go again when the row does not come to be.
"""

import uuid
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from diagnostics.models import Case, Finding, Photo, Sighting
from diagnostics.services import cases
from diagnostics.services.walking import ClientIdTaken
from plant.errors import DomainError
from plant.models import User
from plant.pictures import Picture
from plant.services.stored_pictures import read_one_of

MOST_PHOTOS = 40
# No zone or database can hold the first day of the calendar, which a file may well claim.
_BEFORE_PHONES = datetime(1990, 1, 1, tzinfo=UTC)


class TooManyPhotos(DomainError):
    code = "too_many_photos"


class PhotoOfAnotherCase(DomainError):
    code = "photo_of_another_case"


@dataclass(frozen=True)
class SentPhoto:
    """A file as somebody sent it; `client_id` is theirs, `taken_at` None when nobody says."""

    client_id: uuid.UUID
    content: bytes
    name: str = ""
    taken_at: datetime | None = None


@dataclass(frozen=True)
class About:
    """What the photos show."""

    finding: Finding | None = None
    sighting: Sighting | None = None
    place: str = ""
    caption: str = ""


@dataclass(frozen=True)
class StoredPhoto:
    """A picture whose files stand in the storage, without a row yet."""

    sent: SentPhoto
    picture: Picture
    file: str
    small_file: str


def take_photos(
    *, case_id: int, sent: Sequence[SentPhoto], about: About, by: User | None, now: datetime
) -> list[Photo]:
    """Keep photos of an open case, all or none; the same client id twice is kept once.

    Refuses with PictureRefused, TooManyPhotos, PhotoOfAnotherCase, CaseHasEnded, ClientIdTaken.
    """
    known = _known(sent, case_id)
    if len(known) < len({one.client_id for one in sent}):
        with stored(case_id=case_id, sent=sent, now=now) as pictures, transaction.atomic():
            case = cases.lock_open_case(case_id)
            keep(case, pictures, about=about, by=by, now=now)
        known = _known(sent, case_id)
    return [known[client_id] for client_id in dict.fromkeys(one.client_id for one in sent)]


@contextmanager
def stored(
    *, case_id: int, sent: Sequence[SentPhoto], now: datetime
) -> Iterator[Sequence[StoredPhoto]]:
    """The pictures with files in the storage; files that no row took up are gone afterwards.

    To be entered before the transaction that calls `keep`.
    """
    known = _known(sent, case_id)
    read = [
        (one, read_one_of(one.name, one.content, len(sent)))
        for one in sent
        if one.client_id not in known
    ]
    written: list[str] = []
    try:
        yield [_store(one, picture, now, written) for one, picture in read]
    finally:
        # What is asked is the table, not whether it went well: of the same photo sent twice at
        # once, the files of the second belong to no row.
        taken = Photo.objects.filter(client_id__in=[one.client_id for one, _picture in read])
        names = {name for row in taken.values_list("file", "small_file") for name in row}
        for name in written:
            if name not in names:
                default_storage.delete(name)


def _store(one: SentPhoto, picture: Picture, now: datetime, written: list[str]) -> StoredPhoto:
    """Nothing of the sender's name: it would be a path, or tell who they are."""
    names = []
    for content, ending in ((picture.full, ""), (picture.small, "-small")):
        name = f"photos/{now:%Y/%m}/{one.client_id}{ending}.jpg"
        names.append(default_storage.save(name, ContentFile(content)))
        written.append(names[-1])
    return StoredPhoto(one, picture, *names)


def keep(
    case: Case, pictures: Sequence[StoredPhoto], *, about: About, by: User | None, now: datetime
) -> None:
    """Rows for pictures in the storage; the caller has locked the case and is in a transaction."""
    _check_of_this_case(case, about)
    # Again under the lock: a second request with the same photo may have been quicker.
    known = _known([one.sent for one in pictures], case.pk)
    fresh = {one.sent.client_id: one for one in pictures if one.sent.client_id not in known}
    _check_number(case, len(fresh))
    try:
        with transaction.atomic():
            Photo.objects.bulk_create(
                _row(case, one, about=about, by=by, now=now) for one in fresh.values()
            )
    except IntegrityError as error:
        raise ClientIdTaken(_of_another_case()) from error


def _row(case: Case, one: StoredPhoto, *, about: About, by: User | None, now: datetime) -> Photo:
    return Photo(
        case=case,
        finding=about.finding,
        sighting=about.sighting,
        client_id=one.sent.client_id,
        place=about.place.strip()[:48],
        caption=about.caption.strip()[:200],
        file=one.file,
        small_file=one.small_file,
        width=one.picture.width,
        height=one.picture.height,
        size=len(one.picture.full),
        taken_at=_taken_at(case, one, now),
        sent_at=now,
        taken_by=by,
    )


def _taken_at(case: Case, one: StoredPhoto, now: datetime) -> datetime:
    """Never later than now: a phone's clock may be hours ahead, or never have been set."""
    said = one.sent.taken_at
    if said is None and one.picture.camera_time is not None:
        said = one.picture.camera_time.replace(tzinfo=case.conveyor.plant.zone_info)
    return now if said is None or said < _BEFORE_PHONES else min(said, now)


def _known(sent: Sequence[SentPhoto], case_id: int) -> dict[uuid.UUID, Photo]:
    rows = Photo.objects.filter(client_id__in=[one.client_id for one in sent])
    known = {row.client_id: row for row in rows}
    if any(row.case_id != case_id for row in known.values()):
        raise ClientIdTaken(_of_another_case())
    return known


def _of_another_case() -> str:
    return _("This photo belongs to another case. Open the page again.")


def _check_of_this_case(case: Case, about: About) -> None:
    finding, sighting = about.finding, about.sighting
    is_elsewhere = finding is not None and finding.case_id != case.pk
    if is_elsewhere or (sighting is not None and sighting.walk_down.case_id != case.pk):
        raise PhotoOfAnotherCase(
            _("What the photo shows belongs to another case. Open the page again.")
        )


def _check_number(case: Case, more: int) -> None:
    standing = Photo.objects.standing().filter(case=case).count()
    if standing + more > MOST_PHOTOS:
        raise TooManyPhotos(
            _("A case holds at most %(most)d photos and this one has %(standing)d. Take back those "
              "that show nothing new.")
            % {"most": MOST_PHOTOS, "standing": standing}
        )  # fmt: skip


@transaction.atomic
def count_photo(*, photo_id: int, case_id: int, counts: bool, now: datetime) -> Photo:
    """Take a photo back or make it count again, as asked; it stays to be seen.

    Asked for what stands already, nothing changes. Refuses with CaseHasEnded, and with
    TooManyPhotos to bring back one too many.
    """
    case = cases.lock_open_case(case_id)
    row = Photo.objects.select_for_update(no_key=True).get(pk=photo_id, case=case)
    if counts is (row.taken_back_at is None):
        return row
    if counts:
        _check_number(case, 1)
    row.taken_back_at = None if counts else now
    row.save(update_fields=["taken_back_at"])
    return row
