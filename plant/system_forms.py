"""What an administrator fills in about a connected system."""

from typing import Any, ClassVar

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from plant.models import ConnectedSystem, Plant, WordingChange
from plant.services.wordings import Settings
from plant.wording_entries import Entry, Value


class NewSystemForm(forms.Form):
    name = forms.CharField(
        label=_("Name of the system"),
        max_length=80,
        help_text=_("As people here call it, such as: stores ledger of the terminal."),
    )
    plant = forms.ModelChoiceField(label=_("Plant"), queryset=Plant.objects.none())
    note = forms.CharField(
        label=_("Note"),
        max_length=400,
        required=False,
        help_text=_("Who looks after it, and how it is reached."),
    )

    def __init__(self, *args: Any, plants: QuerySet[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        plant_field = self.fields["plant"]
        assert isinstance(plant_field, forms.ModelChoiceField)
        plant_field.queryset = plants
        if len(plants) == 1:
            plant_field.initial = plants[0]


class VersionForm(forms.Form):
    """Of every form about a system: the state that was looked at."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)

    def __init__(self, *args: Any, system: ConnectedSystem, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["version"].initial = system.version


class EntriesForm(VersionForm):
    """Changes entries of the wording; `kept_as` says in the history what was changed."""

    kept_as: ClassVar[WordingChange.Kind]

    def wanted(self) -> dict[Entry, Value | None]:
        raise NotImplementedError


class SettingsForm(VersionForm):
    name = forms.CharField(label=_("Name of the system"), max_length=80)
    note = forms.CharField(label=_("Note"), max_length=400, required=False)
    is_on = forms.BooleanField(
        label=_("It speaks its own words"),
        required=False,
        help_text=_("Off: keys, calls and files of the system use Loopwright's words."),
    )
    is_strict = forms.BooleanField(
        label=_("Nothing without a word"),
        required=False,
        help_text=_(
            "A change without a word is held back until it has one, and a list that would show one "
            "is refused. Otherwise Loopwright's own word goes out and is counted as a gap."
        ),
    )

    def __init__(self, *args: Any, system: ConnectedSystem, **kwargs: Any) -> None:
        super().__init__(*args, system=system, **kwargs)
        for name in ("name", "note", "is_on", "is_strict"):
            self.fields[name].initial = getattr(system, name)

    def settings(self) -> Settings:
        filled = {name: self.cleaned_data[name] for name in ("name", "note", "is_on", "is_strict")}
        return Settings(**filled)
