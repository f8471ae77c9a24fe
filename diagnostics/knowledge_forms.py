"""What a person may ask the knowledge and the past cases for."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.class_words import CLASS_WORDS
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.models.search import SearchKind
from plant.loop.vocabulary import Zone


class KnowledgeSearch(forms.Form):
    """Search words, where to look, class and zone; all optional."""

    words = forms.CharField(
        label=_("In plain words"),
        required=False,
        max_length=200,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
    kind = forms.ChoiceField(
        label=_("Look in"),
        required=False,
        choices=[("", _("everything")), *SearchKind.choices],
    )
    cause_class = forms.ChoiceField(
        label=_("Where the cause sits"),
        required=False,
        choices=[("", _("anywhere")), *((one.value, words) for one, words in CLASS_WORDS.items())],
    )
    zone = forms.ChoiceField(
        label=_("Zone"),
        required=False,
        choices=[("", _("all zones")), *((zone.value, _(zone.value)) for zone in Zone)],
    )

    @property
    def is_narrowed(self) -> bool:
        """Something besides words is said, rightly or not."""
        return any(self.data.get(name) for name in ("kind", "cause_class", "zone"))

    @property
    def words_asked(self) -> str:
        return str(self.cleaned_data["words"])

    @property
    def kind_asked(self) -> SearchKind | None:
        """Class and zone are only said of causes."""
        if self.places_asked:
            return SearchKind.CAUSE
        kind = self.cleaned_data["kind"]
        return SearchKind(kind) if kind else None

    @property
    def class_asked(self) -> str:
        return str(self.cleaned_data["cause_class"])

    @property
    def places_asked(self) -> dict[str, Any]:
        """Class and zone where one of them is chosen."""
        data = self.cleaned_data
        if not (data["cause_class"] or data["zone"]):
            return {}
        return {
            "cause_class": CauseClass(data["cause_class"]) if data["cause_class"] else None,
            "zone": Zone(data["zone"]) if data["zone"] else None,
        }
