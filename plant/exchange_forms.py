"""What an administrator fills in about a system that gets files."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from plant.models import ConnectedSystem, ExchangeSetting, Feed, Plant
from plant.models.exchange import MOST_MINUTES, USUAL_MINUTES
from plant.models.webhook import FEED_WORDS
from plant.services.exchange.keeping import Wanted


class ExchangeForm(forms.Form):
    name = forms.CharField(
        label=_("name of the other system"),
        max_length=50,
        help_text=_("What it says in files is recorded as done by this name."),
    )
    system = forms.ModelChoiceField(
        label=_("words of"),
        queryset=ConnectedSystem.objects.none(),
        required=False,
        empty_label=_("nobody: files speak our words"),
        help_text=_("States, asset tags and fields go out and come in as this system calls them."),
    )
    folder = forms.CharField(
        label=_("folder"),
        max_length=40,
        help_text=_("One name of small letters, digits, - and _, below the folder of the plant."),
    )
    feeds = forms.MultipleChoiceField(
        label=_("tell it of"),
        choices=[(feed.value, words) for feed, words in FEED_WORDS.items()],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    format = forms.ChoiceField(label=_("form of the files"), choices=ExchangeSetting.Format.choices)
    every_minutes = forms.IntegerField(
        label=_("every so many minutes"), required=False, min_value=1, max_value=MOST_MINUTES
    )
    daily_at = forms.TimeField(
        label=_("or once a day at"),
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        help_text=_("By the plant's clock. Give one of the two."),
    )
    picks_up = forms.BooleanField(
        label=_("pick up status files"),
        required=False,
        help_text=_("It leaves them in the folder named in."),
    )
    spares_own = forms.BooleanField(label=_("leave out what it said itself"), required=False)
    writes_sign_of_life = forms.BooleanField(
        label=_("write a sign of life at each run"),
        required=False,
        help_text=_("A small file, written over each time, also when nothing is new."),
    )
    is_on = forms.BooleanField(label=_("on"), required=False)
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, systems: QuerySet[ConnectedSystem], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["system"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = systems

    def wanted(self) -> Wanted:
        names = Wanted.__dataclass_fields__
        return Wanted(**{name: self.cleaned_data[name] for name in names})

    @staticmethod
    def filled_with(setting: ExchangeSetting) -> dict[str, Any]:
        names = Wanted.__dataclass_fields__
        return {name: getattr(setting, name) for name in names} | {"seen": setting.version}


class NewExchangeForm(ExchangeForm):
    plant = forms.ModelChoiceField(label=_("plant"), queryset=Plant.objects.none())
    begins_with_all = forms.BooleanField(
        label=_("begin with all that stands now"),
        required=False,
        help_text=_("Else with what changes from now on."),
    )
    field_order = ("plant", "name", "system", "folder", "feeds", "begins_with_all")

    def __init__(self, *args: Any, plants: QuerySet[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["plant"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = plants
        if len(plants) == 1:
            field.initial = plants[0]

    @staticmethod
    def usual() -> dict[str, Any]:
        return {
            "feeds": [Feed.WORK_ORDERS.value],
            "every_minutes": USUAL_MINUTES,
            "begins_with_all": True,
            "picks_up": True,
            "spares_own": True,
            "is_on": True,
        }
