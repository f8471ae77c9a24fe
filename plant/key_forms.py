"""What an administrator fills in about a key."""

from datetime import date, datetime, time, timedelta
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from plant.models import ApiKey, ConnectedSystem, Plant

OFFERED = [(scope.value, scope.label) for scope in ApiKey.Scope]
# A thousand a second is more than the whole site serves.
MOST_PER_MINUTE = 60_000
USUAL_OVERLAP = timedelta(days=7)


class KeyFields(forms.Form):
    """What a new key and a changed one share."""

    name = forms.CharField(
        label=_("Name of the other system"),
        max_length=50,
        help_text=_("Who holds the key, such as: stores system of the terminal."),
    )
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
    requests_per_minute = forms.IntegerField(
        label=_("Requests a minute"),
        required=False,
        min_value=1,
        max_value=MOST_PER_MINUTE,
        help_text=_("Beyond it the other system is asked to wait. Empty: as the site has it."),
    )

    def offer_systems(self, systems: QuerySet[ConnectedSystem]) -> None:
        field = self.fields["system"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = systems


class KeyForm(KeyFields):
    plant = forms.ModelChoiceField(label=_("Plant"), queryset=Plant.objects.none())
    field_order = ["name", "plant", "system", "scopes", "last_day", "requests_per_minute"]

    def __init__(self, *args: Any, plants: QuerySet[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        plant_field = self.fields["plant"]
        assert isinstance(plant_field, forms.ModelChoiceField)
        plant_field.queryset = plants
        if len(plants) == 1:
            plant_field.initial = plants[0]
        self.offer_systems(ConnectedSystem.objects.filter(plant__in=plants))

    def expires_at(self) -> datetime | None:
        return end_of(self.cleaned_data["last_day"], self.cleaned_data["plant"])


class KeyChangeForm(KeyFields):
    """A key stays at its plant."""

    def __init__(self, *args: Any, key: ApiKey, **kwargs: Any) -> None:
        self.key = key
        kwargs["initial"] = {
            "name": key.name,
            "system": key.system,
            "scopes": key.scopes,
            "last_day": last_day_of(key.expiry_date, key.plant),
            "requests_per_minute": key.requests_per_minute,
        }
        super().__init__(*args, **kwargs)
        self.offer_systems(ConnectedSystem.objects.filter(plant=key.plant_id))

    def expires_at(self) -> datetime | None:
        last_day = self.cleaned_data["last_day"]
        if last_day == self.initial["last_day"]:
            # An end within a day, as a command may have set it, stays what it is.
            return self.key.expiry_date
        return end_of(last_day, self.key.plant)


class ReplaceForm(forms.Form):
    """To when the former secret works."""

    former_last_day = forms.DateField(
        label=_("Last day of the old secret"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=_("Until the end of this day in the plant's zone both secrets work."),
    )
    at_once = forms.BooleanField(
        label=_("The old secret stops at once"),
        required=False,
        help_text=_("If somebody may have seen it. The other system is refused until changed."),
    )

    def __init__(self, *args: Any, plant: Plant, now: datetime, **kwargs: Any) -> None:
        self.plant = plant
        usual = (now + USUAL_OVERLAP).astimezone(plant.zone_info).date()
        kwargs["initial"] = {"former_last_day": usual}
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        needs_day = not given.get("at_once") and "former_last_day" not in self.errors
        if needs_day and given.get("former_last_day") is None:
            self.add_error("former_last_day", _now("Give a day, or tick that it stops at once."))
        return given

    def former_until(self) -> datetime | None:
        if self.cleaned_data["at_once"]:
            return None
        return end_of(self.cleaned_data["former_last_day"], self.plant)


def end_of(last_day: date | None, plant: Plant) -> datetime | None:
    """The instant at which a day of the plant is over."""
    if last_day is None or last_day == date.max:
        return None
    return datetime.combine(last_day + timedelta(days=1), time(), tzinfo=plant.zone_info)


def last_day_of(end: datetime | None, plant: Plant) -> date | None:
    if end is None:
        return None
    return (end - timedelta(microseconds=1)).astimezone(plant.zone_info).date()
