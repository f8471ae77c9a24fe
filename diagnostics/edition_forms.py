"""What a keeper of knowledge fills in, rules apart."""

from typing import Any

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from diagnostics.entry_texts import LONGEST_ENTRY, entry_in
from diagnostics.knowledge_change_words import KINDS_WORDS
from diagnostics.knowledge_comparison import Kind
from diagnostics.knowledge_schema import KnowledgeError
from diagnostics.selectors.editions import Clash

_WHY_LENGTH = 400
# Causes are named with low lines, everything else with hyphens, as the files do.
SLUGS = {
    Kind.CAUSE: RegexValidator(r"^[a-z][a-z0-9_]{2,59}\Z", _("Small letters, digits and _ only.")),
    Kind.RULE: RegexValidator(r"^[a-z][a-z0-9-]{2,59}\Z", _("Small letters, digits and - only.")),
}


class PlainTextField(forms.CharField):
    """Lines as the files end them, whatever a browser sends."""

    def to_python(self, value: Any) -> Any:
        typed = super().to_python(value)
        return typed.replace("\r\n", "\n") if isinstance(typed, str) else typed


class LinesField(forms.CharField):
    """Several short texts, one a line."""

    widget = forms.Textarea(attrs={"rows": 3})

    def to_python(self, value: Any) -> Any:
        typed = super().to_python(value) or ""
        return [line.strip() for line in typed.splitlines() if line.strip()]

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(value) if isinstance(value, list) else value

    def run_validators(self, value: Any) -> None:
        super().run_validators("\n".join(value))


def why_field() -> PlainTextField:
    return PlainTextField(
        label=_("reason of the change"),
        max_length=_WHY_LENGTH,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("What was seen that speaks for it; it stays with the change."),
    )


class BeginForm(forms.Form):
    title = forms.CharField(
        label=_("what it is about"),
        max_length=200,
        help_text=_("In a few words, for the list of editions."),
    )


class WhyForm(forms.Form):
    """For what asks first and wants a reason; `seen` and `version` say what was looked at."""

    why = why_field()
    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    version = forms.IntegerField(required=False, min_value=0, widget=forms.HiddenInput)


class SureForm(forms.Form):
    """For what only asks first."""

    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    version = forms.IntegerField(required=False, min_value=0, widget=forms.HiddenInput)


class EntryForm(forms.Form):
    """An entry as text; the error of the loader names line or field."""

    text = forms.CharField(
        label=_("entry"),
        max_length=LONGEST_ENTRY,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 24, "class": "as-text", "spellcheck": "true"}),
        help_text=_("One `name: value` a line, as the knowledge files are written."),
    )
    why = why_field()
    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, kind: Kind, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind

    def clean_text(self) -> dict[str, Any]:
        try:
            return entry_in(self.kind, self.cleaned_data["text"])
        except KnowledgeError as error:
            raise forms.ValidationError(str(error)) from error

    def wanted(self) -> dict[str, Any]:
        entry: dict[str, Any] = self.cleaned_data["text"]
        return entry


class EntryFilter(forms.Form):
    kind = forms.ChoiceField(
        label=_("what"), required=False, choices=[(one.value, KINDS_WORDS[one]) for one in Kind]
    )
    words = forms.CharField(
        label=_("with the words"),
        required=False,
        max_length=100,
        widget=forms.TextInput(attrs={"type": "search"}),
    )

    def asked(self) -> tuple[Kind, str]:
        """What was filled in rightly; a wrong filter is said and lets everything through."""
        filled = self.cleaned_data if self.is_valid() else {}
        return Kind(filled.get("kind") or Kind.RULE), filled.get("words", "")


class CarryOverForm(forms.Form):
    """For each entry that both have changed: whose words stay."""

    version = forms.IntegerField(min_value=0, widget=forms.HiddenInput)

    def __init__(self, *args: Any, clashes: list[Clash], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.clashes = clashes
        for one in clashes:
            self.fields[one.field_name] = forms.ChoiceField(
                label=one.shown.name,
                widget=forms.RadioSelect,
                choices=[
                    ("mine", _("as the draft has it")),
                    ("theirs", _("as it is in force")),
                ],
            )

    @property
    def choices(self) -> list[tuple[Clash, forms.BoundField]]:
        return [(one, self[one.field_name]) for one in self.clashes]

    def keep_mine(self) -> dict[tuple[str, str], bool]:
        return {
            (one.change.kind, one.change.slug): self.cleaned_data[one.field_name] == "mine"
            for one in self.clashes
        }
