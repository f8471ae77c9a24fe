"""Files people sent, as answers of the pages and the interface that ask who may have them."""

from typing import cast

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpResponse

from plant.file_names import with_ending
from plant.models import Attachment

# Somebody else wrote it: whatever it holds, it runs nothing and asks for nothing.
_POLICY = "default-src 'none'; sandbox"


def attachment_answer(row: Attachment) -> HttpResponse:
    """A picture as ours, to be shown; a document as somebody's, to be saved and nothing else."""
    if row.is_picture:
        return picture_answer(row.file, f"{row.pk}.jpg")
    answer = FileResponse(
        _opened(row.file),
        as_attachment=True,
        filename=with_ending(row.file_name, ".pdf", str(row.pk)),
        content_type="application/pdf",
    )
    answer["Content-Security-Policy"] = _POLICY
    answer["X-Content-Type-Options"] = "nosniff"
    return cast(HttpResponse, answer)


def picture_answer(file: FieldFile, name: str) -> HttpResponse:
    # Written by us, so it is what it says; SecurityMiddleware adds nosniff to every answer.
    answer = FileResponse(_opened(file), filename=name, content_type="image/jpeg")
    return cast(HttpResponse, answer)


def _opened(file: FieldFile) -> FieldFile:
    try:
        return file.open("rb")
    except FileNotFoundError:
        raise Http404 from None
