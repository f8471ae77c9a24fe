"""Photos sent with a form: several files in one field, each with an id of its own."""

import hashlib
import uuid
from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from diagnostics.pictures import MOST_BYTES, too_large
from diagnostics.services.photos import SentPhoto

# Of one post: all of them are held in memory together while they are read.
MOST_AT_ONCE = 8


class PhotosInput(forms.FileInput):
    """Opens the camera on a phone; photos.js makes pictures smaller before they go."""

    allow_multiple_selected = True

    def __init__(self) -> None:
        super().__init__(
            attrs={
                "multiple": True,
                "accept": "image/*",
                "capture": "environment",
                "data-photos": True,
                "data-remove": _("Remove"),
            }
        )

    def value_from_datadict(self, _data: Any, files: Any, name: str) -> list[UploadedFile]:
        return list(files.getlist(name)) if files else []


class PhotosField(forms.FileField):
    widget = PhotosInput
    default_error_messages = {
        "too_many": _("Send at most %(most)d photos at once, and the others after them."),
    }

    def clean(self, data: Sequence[UploadedFile], initial: Any = None) -> list[UploadedFile]:
        if not data:
            super().clean(None, initial)
            return []
        if len(data) > MOST_AT_ONCE:
            raise forms.ValidationError(
                self.error_messages["too_many"], "too_many", {"most": MOST_AT_ONCE}
            )
        files = [super(PhotosField, self).clean(one, initial) for one in data]
        for one in files:
            if one.size > MOST_BYTES:
                raise forms.ValidationError(f"{one.name}: {too_large(one.size)}")
        return files


class PhotosForm(forms.Form):
    """The part of a form that takes photos; a form that is sent twice sends the same ids."""

    photos = PhotosField(
        label=_("photos"),
        required=False,
        help_text=_("JPEG, PNG or WebP, at most 10 MB each and 8 at once."),
    )
    sent_as = forms.UUIDField(required=False, widget=forms.HiddenInput, initial=uuid.uuid4)

    def sent_photos(self, about: str = "") -> list[SentPhoto]:
        """By form, what they are about and content: going back and choosing another is new."""
        sent_as = self.cleaned_data.get("sent_as") or uuid.uuid4()
        namespace = uuid.uuid5(sent_as, about)
        sent = []
        for file in self.cleaned_data["photos"]:
            content = file.read()
            client_id = uuid.uuid5(namespace, hashlib.sha256(content).hexdigest())
            sent.append(SentPhoto(client_id, content, name=file.name))
        return sent


class PhotoForm(PhotosForm):
    """Photos that stand by themselves."""

    photos = PhotosField(
        label=PhotosForm.base_fields["photos"].label,
        help_text=PhotosForm.base_fields["photos"].help_text,
        error_messages={"required": _("Take or choose at least one photo.")},
    )
    caption = forms.CharField(label=_("what it shows"), required=False, max_length=200)
    place = forms.CharField(
        label=_("where"),
        required=False,
        max_length=48,
        help_text=_("A station or component as the register calls it, if there is one."),
    )
    field_order = ["photos", "caption", "place"]
