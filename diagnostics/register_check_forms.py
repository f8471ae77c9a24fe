"""Figures read at the conveyor that the register has no place for; they stand in the address."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.mechanics.register_check.figures import Readings


def _figure(label: Any, help_text: Any, least: float, most: float) -> forms.FloatField:
    return forms.FloatField(
        label=label,
        help_text=help_text,
        required=False,
        min_value=least,
        max_value=most,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )


class ReadingsForm(forms.Form):
    pulley_rpm = _figure(
        _("turns of the drive pulley [rpm]"),
        _("Of the head pulley where no drive pulley is registered."),
        0.1,
        2000,
    )
    take_up_travel_m = _figure(
        _("travel of the take-up [m]"), _("From stop to stop, not what is left."), 0, 200
    )
    take_up_mass_kg = _figure(
        _("take-up weight [kg]"), _("Counterweight with its frame and pulley."), 1, 1_000_000
    )

    def __init__(self, asked: Mapping[str, str]) -> None:
        said = {name: text for name, text in asked.items() if name in self.base_fields and text}
        super().__init__(said or None)

    def readings(self) -> Readings:
        """What was given and can be; nothing where a field was refused."""
        return Readings(**self.cleaned_data) if self.is_valid() else Readings()
