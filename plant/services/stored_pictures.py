"""Pictures as they were sent, read and written to the storage before anything is locked."""

import uuid
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from plant.pictures import Picture, PictureRefused, read_picture
from plant.services.stored_files import WrittenFiles

# No zone or database can hold the first day of the calendar, which a file may well claim.
_BEFORE_PHONES = datetime(1990, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class StoredPicture:
    picture: Picture
    file: str
    small_file: str


def read_one_of(name: str, content: bytes, of: int) -> Picture:
    """Of several, the refused one is named."""
    try:
        return read_picture(content)
    except PictureRefused as refusal:
        if of > 1 and name:
            raise PictureRefused(f"{name}: {refusal}") from refusal
        raise


def store(picture: Picture, files: WrittenFiles, folder: str, now: datetime) -> StoredPicture:
    """Nothing of the sender's name: it would be a path, or tell who they are."""
    place = f"{folder}/{now:%Y/%m}/{uuid.uuid4()}"
    full = files.write(f"{place}.jpg", picture.full)
    return StoredPicture(picture, full, files.write(f"{place}-small.jpg", picture.small))


def when_taken(picture: Picture, zone: ZoneInfo, now: datetime) -> datetime | None:
    """By the camera's clock in the plant's zone, unless that is ahead or was never set."""
    if picture.camera_time is None:
        return None
    said = picture.camera_time.replace(tzinfo=zone)
    return said if _BEFORE_PHONES <= said <= now else None
