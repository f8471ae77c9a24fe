"""Pictures and drawings as they are sent with a form, and what is said of them."""

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from plant import pdf_files
from plant.models import Component
from plant.picture_fields import MOST_AT_ONCE, FilesField, FilesInput, PhotosField
from plant.services.attaching import SentFile

_PICTURES = "image/jpeg,image/png,image/webp"
_CAPTION = 200


class DrawingsField(FilesField):
    """Pictures or PDFs; what each is, its contents say when they are read."""

    def check_size(self, file: UploadedFile) -> None:
        size = file.size or 0
        if size > pdf_files.MOST_BYTES:
            raise forms.ValidationError(f"{file.name}: {pdf_files.too_large(size)}")


class SentFilesForm(forms.Form):
    """New files from the camera or out of a folder, and what they show."""

    photos = PhotosField(
        label=_("take pictures"),
        required=False,
        help_text=_("With the camera of this device."),
    )
    chosen = PhotosField(
        label=_("or choose files"),
        required=False,
        widget=FilesInput,
        help_text=_("Pictures as JPEG, PNG or WebP, at most 10 MB each and 8 at once."),
    )
    caption = forms.CharField(label=_("what they show"), required=False, max_length=_CAPTION)

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        sent = [*filled.get("photos", []), *filled.get("chosen", [])]
        if not sent and not self.errors:
            self.add_error("chosen", _("Take or choose at least one file."))
        if len(sent) > MOST_AT_ONCE:
            self.add_error("chosen", _("Send at most 8 files at once, and the others after them."))
        return filled

    def sent_files(self) -> list[SentFile]:
        chosen = [*self.cleaned_data["photos"], *self.cleaned_data["chosen"]]
        return [SentFile(one.read(), one.name or "") for one in chosen]


class AttachmentForm(SentFilesForm):
    """All of one component or of the conveyor as a whole."""

    component = forms.ModelChoiceField(
        Component.objects.none(),
        label=_("of which component"),
        required=False,
        empty_label=_("the conveyor as a whole"),
    )

    def __init__(
        self, *args: Any, components: Any, takes_documents: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["component"]
        field.queryset = components  # type: ignore[attr-defined]
        if takes_documents:
            self.fields["chosen"] = DrawingsField(
                label=_("or choose files"),
                required=False,
                widget=FilesInput(f"{_PICTURES},application/pdf,.pdf"),
                help_text=_(
                    "Drawings as PDF, at most 25 MB each; pictures as JPEG, PNG or WebP, at most "
                    "10 MB each; 8 at once."
                ),
            )


class CaptionForm(forms.Form):
    caption = forms.CharField(
        label=_("what it shows"),
        required=False,
        max_length=_CAPTION,
        help_text=_("Left empty, the name of the file stands there."),
    )


class AttachmentFilter(forms.Form):
    """Which of them the list shows."""

    component = forms.ModelChoiceField(
        Component.objects.none(),
        label=_("of"),
        required=False,
        empty_label=_("the conveyor and all its components"),
    )
    kind = forms.ChoiceField(
        label=_("what"),
        required=False,
        choices=[
            ("", _("pictures and drawings")),
            ("picture", _("pictures")),
            ("document", _("drawings")),
        ],
    )
    gone = forms.BooleanField(label=_("also those taken back"), required=False)

    def __init__(self, *args: Any, components: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["component"]
        field.queryset = components  # type: ignore[attr-defined]
