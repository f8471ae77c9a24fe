"""What a person asks for on the What if page; the whole question stands in the address."""

from collections.abc import Mapping, Sequence

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from diagnostics.inference.causes import Knowledge
from diagnostics.inference.evidence import ConveyorFacts
from diagnostics.inference.what_if.answer import Shown
from diagnostics.inference.what_if.choice import FIELDS, WhatIfRefusal, read_choice
from diagnostics.inference.what_if.showing import show

_TEXT = forms.TextInput(attrs={"autocomplete": "off"})


class WhatIfForm(forms.Form):
    """Texts throughout: the engine's own reading of them refuses what it cannot take."""

    cause = forms.CharField(
        label=_("fault"),
        max_length=100,
        widget=forms.Select,
        error_messages={"required": _("Choose a fault first.")},
    )
    at = forms.CharField(
        label=_("where"),
        required=False,
        max_length=60,
        widget=_TEXT,
        help_text=_("A component's name or metres along the loop. Empty where it has one place."),
    )
    side = forms.CharField(
        label=_("drives the belt to the"), required=False, max_length=20, widget=forms.Select
    )
    size = forms.CharField(
        label=_("size"),
        required=False,
        max_length=30,
        widget=_TEXT,
        help_text=_("In the unit the picture names. Empty for the usual size."),
    )
    load = forms.CharField(
        label=_("belt"),
        required=False,
        max_length=20,
        widget=forms.Select(
            choices=[
                ("both", _("loaded and empty")),
                ("loaded", _("loaded")),
                ("empty", _("empty")),
            ]
        ),
    )
    sets = forms.CharField(
        label=_("idler sets in a row"),
        required=False,
        max_length=10,
        widget=_TEXT,
        help_text=_("For idlers only. Empty for the usual number."),
    )
    belt_at = forms.CharField(
        label=_("belt position in m"),
        required=False,
        max_length=30,
        widget=_TEXT,
        help_text=_("For splices and the belt itself: ahead of the reference splice."),
    )
    case = forms.CharField(
        label=_("compare with what was seen in"),
        required=False,
        max_length=40,
        widget=forms.Select,
    )

    def __init__(
        self,
        asked: Mapping[str, str],
        *,
        causes: Sequence[tuple[str, list[tuple[str, str]]]],
        sides: Sequence[tuple[str, str]],
        cases: Sequence[tuple[str, str]],
    ) -> None:
        is_asked = bool(asked.get("cause"))
        super().__init__(asked if is_asked else None, initial=dict(asked))
        self.fields["cause"].widget.choices = [("", _("choose one")), *causes]
        self.fields["side"].widget.choices = sides
        self.fields["case"].widget.choices = [("", _("no case")), *cases]

    def answer(self, conveyor: ConveyorFacts, knowledge: Knowledge) -> Shown | None:
        """The picture, or None with the refusal beside its field."""
        if not self.is_valid():
            return None
        try:
            choice = read_choice({name: self.cleaned_data[name] for name in FIELDS})
            return show(conveyor, knowledge, choice)
        except WhatIfRefusal as refusal:
            self.add_error(refusal.field, capfirst(str(refusal)))
            return None
