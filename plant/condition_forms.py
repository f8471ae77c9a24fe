"""What people fill in about readings of condition; times are in the plant's zone."""

import math
from dataclasses import dataclass
from typing import Any

from django import forms
from django.db.models import Exists, OuterRef, Q
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from plant.condition_words import spot_label
from plant.days import check_day
from plant.keys_typed import key_in
from plant.loop.condition import Quantity
from plant.models import ConditionReading, Conveyor
from plant.models.condition_reading import QUANTITY_WORDS
from plant.register_forms import RegisterForm
from plant.selectors.condition import OF_BELT, ReadingsWanted

_LEAST, _MOST = -100.0, 10_000.0
_GRADES = _("Of a noise grade: 1 silent, 2 hums, 3 rattles, 4 grinds, 5 screeches.")
_FORMATS = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"]


def _quantity_words(quantity: Quantity) -> Any:
    return format_lazy("{} [{}]", QUANTITY_WORDS[quantity], quantity.unit)


_QUANTITIES = [(one.value, _quantity_words(one)) for one in Quantity]


class FigureField(forms.FloatField):
    """A figure with a decimal point or a comma."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(min_value=_LEAST, max_value=_MOST, **kwargs)

    def to_python(self, value: Any) -> Any:
        figure = super().to_python(value.replace(",", ".") if isinstance(value, str) else value)
        if figure is not None and not math.isfinite(figure):
            raise forms.ValidationError(self.error_messages["invalid"], code="invalid")
        return figure


class TimeField(forms.DateTimeField):
    def __init__(self, **kwargs: Any) -> None:
        widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
        super().__init__(widget=widget, input_formats=_FORMATS, validators=[check_day], **kwargs)


class ConditionForm(forms.Form):
    quantity = forms.ChoiceField(label=_("what was read"), choices=_QUANTITIES)
    component = forms.TypedChoiceField(
        label=_("read on"), required=False, coerce=int, empty_value=None
    )
    set = forms.CharField(
        label=_("set"),
        required=False,
        max_length=60,
        help_text=_("Of a group of idlers: its number or name, such as C12."),
    )
    spot = forms.CharField(
        label=_("spot"),
        required=False,
        max_length=40,
        help_text=_("Such as left bearing, middle, left wing."),
    )
    value = FigureField(label=_("value"), help_text=_GRADES)
    taken_at = TimeField(label=_("taken"), help_text=_("In the plant's time."))
    taken_by = forms.CharField(label=_("taken by"), required=False, max_length=80)
    note = forms.CharField(label=_("note"), required=False, max_length=200)

    def __init__(self, *args: Any, conveyor: Conveyor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["component"]
        assert isinstance(field, forms.TypedChoiceField)
        names = [(one.pk, one.name) for one in conveyor.components.all()]
        field.choices = [("", _("the belt")), *names]


class CorrectionForm(RegisterForm):
    value = FigureField(label=_("value"))
    taken_at = TimeField(label=_("taken"), help_text=_("In the plant's time."))

    class Meta:
        model = ConditionReading
        fields = ["value", "taken_at", "spot", "taken_by", "note"]


class ConditionFilter(forms.Form):
    quantity = forms.ChoiceField(
        label=_("what was read"), required=False, choices=[("", _("everything")), *_QUANTITIES]
    )
    of = forms.ChoiceField(label=_("read on"), required=False)

    def __init__(self, *args: Any, conveyor: Conveyor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["of"]
        assert isinstance(field, forms.ChoiceField)
        # Conveyors of thousands of components are read on a few of them.
        asked = key_in(str(self.data.get("of", "")))
        read = Q(Exists(ConditionReading.objects.filter(component=OuterRef("pk")))) | Q(pk=asked)
        names = [(str(one.pk), one.name) for one in conveyor.components.filter(read)]
        field.choices = [("", _("everything")), (OF_BELT, _("the belt")), *names]

    def wanted(self) -> ReadingsWanted:
        """What was understood; what was not narrows nothing."""
        self.is_valid()
        asked = self.cleaned_data.get("quantity") or ""
        of = self.cleaned_data.get("of") or ""
        if of != OF_BELT and key_in(of) is None:
            of = ""
        return ReadingsWanted(Quantity(asked) if asked else None, of)


class RoundForm(forms.Form):
    """What a round reads."""

    quantity = forms.ChoiceField(
        label=_("what is read"),
        choices=[(one.value, _quantity_words(one)) for one in Quantity if not one.is_of_belt],
        widget=forms.RadioSelect,
    )
    sets = forms.CharField(
        label=_("idler sets"),
        required=False,
        max_length=400,
        help_text=_("Which sets to go past: C1-C20, R5. Empty: none of the idlers."),
    )


@dataclass(frozen=True)
class Typed:
    spot: str
    value: float


class StopForm(forms.Form):
    """One stop of a round: a figure for each spot, none of them needed."""

    note = forms.CharField(label=_("note"), required=False, max_length=200)

    def __init__(
        self, *args: Any, spots: list[str], conveyor: Conveyor, unit: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self._spots = spots
        note = self.fields.pop("note")
        for number, spot in enumerate(spots):
            label = spot_label(spot, conveyor) if spot else _("value")
            self.fields[f"value_{number}"] = FigureField(
                label=format_lazy("{} [{}]", label, unit), required=False
            )
        self.fields["note"] = note

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or self.cleaned_data
        if not self.errors and not self.typed():
            raise forms.ValidationError(_("Write a figure, or go on without one."))
        return filled

    def typed(self) -> list[Typed]:
        values = [self.cleaned_data.get(f"value_{number}") for number in range(len(self._spots))]
        pairs = zip(self._spots, values, strict=True)
        return [Typed(spot, value) for spot, value in pairs if value is not None]
