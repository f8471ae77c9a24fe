"""What the keeper of the register fills in about belting, splices and marks."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from plant.loop.vocabulary import Side
from plant.models import Belt, BeltMark, Conveyor, Splice
from plant.register_forms import DAY, RegisterForm
from plant.words import SIDE_WORDS


class BeltForm(RegisterForm):
    class Meta:
        model = Belt
        fields = [
            "name",
            "width_mm",
            "length_m",
            "carcass",
            "strength_n_mm",
            "modulus_kn_m",
            "mass_kg_m2",
            "fitted_on",
        ]
        widgets = {"fitted_on": DAY}
        help_texts = {
            "length_m": _("Closed length, once round."),
            "mass_kg_m2": _("Of the belting alone."),
        }


class TakeOffForm(forms.Form):
    removed_on = forms.DateField(label=_("taken off on"), widget=DAY)


class SpliceForm(RegisterForm):
    class Meta:
        model = Splice
        fields = ["name", "belt_position_m", "made_on", "note"]
        widgets = {"made_on": DAY}
        help_texts = {
            "belt_position_m": _(
                "Along the belt from its reference splice (0 m) in the direction of travel."
            )
        }


class BeltMarkForm(RegisterForm):
    class Meta:
        model = BeltMark
        fields = ["kind", "belt_position_m", "length_m", "side", "seen_on", "note"]
        widgets = {"seen_on": DAY}
        help_texts = {
            "belt_position_m": _(
                "Along the belt from its reference splice (0 m) in the direction of travel."
            )
        }

    def __init__(self, *args: Any, conveyor: Conveyor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["side"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", "—"), *((side.value, _words(conveyor, side)) for side in Side)]


def _words(conveyor: Conveyor, side: Side) -> str:
    own = conveyor.words_for(side)
    return f"{SIDE_WORDS[side]} ({own})" if own else str(SIDE_WORDS[side])
