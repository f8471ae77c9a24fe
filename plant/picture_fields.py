"""Several files in one field of a form: pictures from a camera or an album, drawings."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from plant.pictures import MOST_BYTES, too_large

# Of one post: all of them are held in memory together while they are read.
MOST_AT_ONCE = 8


class FilesInput(forms.FileInput):
    """photos.js makes pictures smaller before they go; what it cannot read goes as it is."""

    allow_multiple_selected = True

    def __init__(self, accept: str = "image/*") -> None:
        super().__init__(
            attrs={
                "multiple": True,
                "accept": accept,
                "data-photos": True,
                "data-remove": _("Remove"),
            }
        )

    def value_from_datadict(self, _data: Any, files: Any, name: str) -> list[UploadedFile]:
        return list(files.getlist(name)) if files else []


class PhotosInput(FilesInput):
    """Opens the camera on a phone."""

    def __init__(self) -> None:
        super().__init__()
        self.attrs["capture"] = "environment"


class FilesField(forms.FileField):
    default_error_messages = {
        "too_many": _("Send at most %(most)d files at once, and the others after them."),
    }

    def clean(self, data: Sequence[UploadedFile], initial: Any = None) -> list[UploadedFile]:
        if not data:
            super().clean(None, initial)
            return []
        if len(data) > MOST_AT_ONCE:
            raise forms.ValidationError(
                self.error_messages["too_many"], "too_many", {"most": MOST_AT_ONCE}
            )
        files = [super(FilesField, self).clean(one, initial) for one in data]
        for one in files:
            self.check_size(one)
        return files

    def check_size(self, file: UploadedFile) -> None:
        """Refuse what is larger than anything the field takes, before it is read."""


class PhotosField(FilesField):
    widget = PhotosInput
    default_error_messages = {
        "too_many": _("Send at most %(most)d photos at once, and the others after them."),
    }

    def check_size(self, file: UploadedFile) -> None:
        size = file.size or 0
        if size > MOST_BYTES:
            raise forms.ValidationError(f"{file.name}: {too_large(size)}")
