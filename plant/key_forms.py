"""What an administrator fills in about a key."""

from datetime import date, datetime, time, timedelta
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from plant.models import ApiKey, ConnectedSystem, Plant

OFFERED = [(scope.value, scope.label) for scope in ApiKey.Scope]


class KeyForm(forms.Form):
    name = forms.CharField(
        label=_("Name of the other system"),
        max_length=50,
        help_text=_("Who holds the key, such as: stores system of the terminal."),
    )
    plant = forms.ModelChoiceField(label=_("Plant"), queryset=Plant.objects.none())
    system = forms.ModelChoiceField(
        label=_("Connected system"),
        queryset=ConnectedSystem.objects.none(),
        required=False,
        empty_label=_("none: it speaks Loopwright's words"),
        help_text=_("The key then speaks the words that are kept for this system."),
    )
    scopes = forms.MultipleChoiceField(
        label=_("May"), choices=OFFERED, widget=forms.CheckboxSelectMultiple
    )
    last_day = forms.DateField(
        label=_("Last day"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=_("The key works to the end of this day in the plant's zone. Empty: no end."),
    )

    def __init__(self, *args: Any, plants: QuerySet[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        plant_field = self.fields["plant"]
        assert isinstance(plant_field, forms.ModelChoiceField)
        plant_field.queryset = plants
        if len(plants) == 1:
            plant_field.initial = plants[0]
        system_field = self.fields["system"]
        assert isinstance(system_field, forms.ModelChoiceField)
        system_field.queryset = ConnectedSystem.objects.filter(plant__in=plants)

    def expires_at(self) -> datetime | None:
        last_day: date | None = self.cleaned_data["last_day"]
        if last_day is None or last_day == date.max:
            return None
        plant: Plant = self.cleaned_data["plant"]
        return datetime.combine(last_day + timedelta(days=1), time(), tzinfo=plant.zone_info)
