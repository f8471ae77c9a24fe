"""What a person may ask the catalogue for."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.class_words import CLASS_WORDS
from diagnostics.inference.vocabulary import CauseClass
from plant.loop.vocabulary import Zone


class CauseSearch(forms.Form):
    """Search words, class and zone; all optional."""

    words = forms.CharField(
        label=_("In plain words"),
        required=False,
        max_length=200,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
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

    def asked(self) -> dict[str, Any]:
        """The catalogue's question; call when valid."""
        data = self.cleaned_data
        return {
            "typed": data["words"],
            "cause_class": CauseClass(data["cause_class"]) if data["cause_class"] else None,
            "zone": Zone(data["zone"]) if data["zone"] else None,
        }
