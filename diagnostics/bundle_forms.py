"""What somebody fills in to bring knowledge of another plant in."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.bundles.reading import LARGEST_BYTES
from diagnostics.edition_forms import why_field
from diagnostics.knowledge_change_words import KINDS_WORDS
from diagnostics.knowledge_comparison import Kind


class BundleFileForm(forms.Form):
    file = forms.FileField(
        label=_("bundle"),
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ".yaml,.yml,.json"}),
        help_text=_("A bundle as another plant wrote it, up to 2 MB."),
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > LARGEST_BYTES:
            raise forms.ValidationError(
                _("The bundle is larger than %(most)d MB."),
                params={"most": LARGEST_BYTES // 1_000_000},
            )
        return file


class TakeInForm(forms.Form):
    kinds = forms.MultipleChoiceField(
        label=_("take in"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Choose at least one kind of entries.")},
    )
    drops = forms.BooleanField(
        label=_("also drop what only this plant has"),
        required=False,
        help_text=_("Otherwise entries that the bundle does not have stay as they are."),
    )
    why = why_field()
    seen = forms.CharField(max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, kinds: list[Kind], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["kinds"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(one.value, KINDS_WORDS[one]) for one in kinds]
        field.initial = [one.value for one in kinds]

    def chosen(self) -> list[Kind]:
        return [Kind(one) for one in self.cleaned_data["kinds"]]
