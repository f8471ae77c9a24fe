"""Photos sent with a form: several files in one field, each with an id of its own."""

import hashlib
import uuid

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.services.photos import SentPhoto
from plant.picture_fields import PhotosField


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
