"""Photos as phones send them, and one that is kept with a case."""

import uuid
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from diagnostics.models import Case, Photo
from diagnostics.services import photos
from diagnostics.services.photos import About, SentPhoto
from tests.diagnostics.factories import NOW, make_case
from tests.plant.drawn_pictures import a_jpeg, file


def sent(content: bytes | None = None, **fields: Any) -> SentPhoto:
    return SentPhoto(
        **{"client_id": uuid.uuid4(), "content": content or a_jpeg(), "name": "a.jpg", **fields}
    )


def take_photo(case: Case | None = None, content: bytes | None = None, **how: Any) -> Photo:
    """One photo kept by the service."""
    about = {key: how.pop(key) for key in ("finding", "sighting", "place", "caption") if key in how}
    given = {"by": None, "now": NOW, **how}
    one = given.pop("sent", None) or sent(content)
    case_id = (case or make_case()).pk
    (row,) = photos.take_photos(case_id=case_id, sent=[one], about=About(**about), **given)
    return row


def posted(*files: SimpleUploadedFile, **typed: Any) -> dict[str, Any]:
    return {"photos": list(files or [file()]), "caption": "", "place": "", **typed}
