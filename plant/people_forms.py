"""What an administrator fills in about people and plants."""

from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils.translation import gettext_lazy as _

from plant import access
from plant.models import Plant, User
from plant.roles import ROLE_WORDS, Role
from plant.services.people import PersonWanted


class PeopleFilterForm(forms.Form):
    words = forms.CharField(label=_("Name or address"), max_length=100, required=False)
    role = forms.ChoiceField(
        label=_("Role"),
        required=False,
        choices=[("", _("all")), *((role.value, words) for role, words in ROLE_WORDS.items())],
    )

    def wanted(self) -> dict[str, str]:
        """What was asked for as far as it could be understood."""
        self.is_valid()
        return {name: self.cleaned_data.get(name, "") for name in self.fields}


class PersonForm(forms.Form):
    display_name = forms.CharField(label=_("Name"), max_length=120)
    username = forms.CharField(
        label=_("Signs in as"),
        max_length=150,
        validators=[UnicodeUsernameValidator()],
        help_text=_("Best an e-mail address. Capital and small letters are the same."),
        widget=forms.TextInput(attrs={"autocapitalize": "none", "spellcheck": "false"}),
    )
    email = forms.EmailField(
        label=_("E-mail address"),
        max_length=254,
        required=False,
        help_text=_(
            "For a link when the password is forgotten. Empty: none, or the name above if that "
            "is an address."
        ),
    )
    roles = forms.MultipleChoiceField(
        label=_("Roles"),
        choices=[(role.value, words) for role, words in ROLE_WORDS.items()],
        widget=forms.CheckboxSelectMultiple,
        help_text=_("They count at all plants of the person."),
    )
    plants = forms.ModelMultipleChoiceField(
        label=_("Plants"),
        queryset=Plant.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, by: User, person: User | None = None, **kwargs: Any) -> None:
        plants = access.plants_of(by)
        if person is not None:
            kwargs.setdefault("initial", _as_typed(person))
        elif len(plants) == 1:
            kwargs.setdefault("initial", {"plants": [plants[0].pk]})
        super().__init__(*args, **kwargs)
        plant_field = self.fields["plants"]
        assert isinstance(plant_field, forms.ModelMultipleChoiceField)
        plant_field.queryset = plants
        if person is not None and not access.may_handle(by, person):
            for name in ("display_name", "username", "email", "roles"):
                self.fields[name].disabled = True
                self.fields[name].required = False

    def clean_username(self) -> str:
        return self.cleaned_data["username"].strip().lower()

    def wanted(self) -> PersonWanted:
        typed = self.cleaned_data
        return PersonWanted(
            username=typed["username"],
            display_name=typed["display_name"],
            email=typed["email"] or _address_in(typed["username"]),
            roles=frozenset(Role(one) for one in typed["roles"]),
            plants=frozenset(typed["plants"]),
        )


def _as_typed(person: User) -> dict[str, Any]:
    return {
        "display_name": person.display_name,
        "username": person.username,
        "email": person.email,
        "roles": [role.value for role in access.roles_by_group(person)],
        "plants": [plant.pk for plant in person.plants.all()],
    }


def _address_in(username: str) -> str:
    try:
        validate_email(username)
    except ValidationError:
        return ""
    return username


class PlantForm(forms.ModelForm):
    time_zone = forms.CharField(
        label=_("Time zone"),
        help_text=_("As in the world's list of zones: Europe/Lisbon, America/Halifax, UTC."),
        widget=forms.TextInput(attrs={"list": "time-zones", "autocapitalize": "none"}),
    )

    class Meta:
        model = Plant
        fields = [
            "code",
            "name",
            "time_zone",
            "recurrence_window_days",
            "recurrence_distance_m",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.fields["code"].disabled = True
            self.fields["code"].help_text = _(
                "Stands in the number of every case and order, so it stays."
            )

    def clean_time_zone(self) -> str:
        typed: str = self.cleaned_data["time_zone"].strip()
        # europe/lisbon is what a telephone makes of it.
        return next((one for one in zone_names() if one.lower() == typed.lower()), typed)


def zone_names() -> list[str]:
    return sorted(available_timezones())
