"""What an administrator fills in about a webhook."""

from datetime import timedelta
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from plant.models import ApiKey, ChangeKind, ConnectedSystem, Plant, WebhookTarget
from plant.models.webhook import FEED_WORDS, KIND_WORDS
from plant.services.keeping_webhooks import Told
from plant.webhook_words import OBJECTION_WORDS
from plant.webhooks import addresses

OVERLAPS = [
    ("24", _("24 hours")),
    ("1", _("1 hour")),
    ("168", _("7 days")),
    ("0", _("not at all: somebody else may know the old one")),
]


class WebhookFields(forms.Form):
    """What a new webhook and a changed one share."""

    name = forms.CharField(
        label=_("Name"), max_length=60, help_text=_("Who is told, such as: stores system.")
    )
    address = forms.CharField(
        label=_("Address"),
        max_length=addresses.LONGEST,
        widget=forms.TextInput(attrs={"inputmode": "url", "spellcheck": "false"}),
        help_text=_("Where the other system listens: https://stores.plant.example/changes"),
    )
    feeds = forms.MultipleChoiceField(
        label=_("Is told of"),
        choices=[(feed.value, words) for feed, words in FEED_WORDS.items()],
        widget=forms.CheckboxSelectMultiple,
    )
    kinds = forms.MultipleChoiceField(
        label=_("When something is"),
        choices=[(kind.value, words) for kind, words in KIND_WORDS.items()],
        widget=forms.CheckboxSelectMultiple,
        initial=ChangeKind.values,
    )
    system = forms.ModelChoiceField(
        label=_("Connected system"),
        queryset=ConnectedSystem.objects.none(),
        required=False,
        empty_label=_("none: it is told in Loopwright's words"),
    )
    spared_key = forms.ModelChoiceField(
        label=_("Leave out what this key changed"),
        queryset=ApiKey.objects.none(),
        required=False,
        empty_label=_("nothing is left out"),
        help_text=_("The other system's own key, so that it is not told what it wrote itself."),
    )

    def __init__(self, *args: Any, plants: QuerySet[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._offer("system", ConnectedSystem.objects.filter(plant__in=plants))
        self._offer("spared_key", ApiKey.objects.filter(plant__in=plants, revoked=False))

    def clean_address(self) -> str:
        try:
            return addresses.read(self.cleaned_data["address"]).text
        except addresses.BadAddress as bad:
            raise forms.ValidationError(str(OBJECTION_WORDS[bad.objection])) from bad

    def told(self) -> Told:
        given = self.cleaned_data
        return Told(
            name=given["name"],
            address=given["address"],
            feeds=given["feeds"],
            kinds=given["kinds"],
            system=given["system"],
            spared_key=given["spared_key"],
        )

    def _offer(self, name: str, rows: QuerySet[Any]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = rows


class WebhookForm(WebhookFields):
    plant = forms.ModelChoiceField(label=_("Plant"), queryset=Plant.objects.none())
    field_order = ["name", "plant", "address", "feeds", "kinds", "system", "spared_key"]

    def __init__(self, *args: Any, plants: QuerySet[Plant], **kwargs: Any) -> None:
        super().__init__(*args, plants=plants, **kwargs)
        self._offer("plant", plants)
        if len(plants) == 1:
            self.fields["plant"].initial = plants[0]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        for name in ("system", "spared_key"):
            row, plant = given.get(name), given.get("plant")
            if row is not None and plant is not None and row.plant_id != plant.pk:
                self.add_error(name, _now("It belongs to another plant than the webhook."))
        return given


class WebhookChangeForm(WebhookFields):
    """A webhook stays at its plant."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)

    def __init__(self, *args: Any, target: WebhookTarget, **kwargs: Any) -> None:
        names = ("name", "address", "feeds", "kinds", "system", "spared_key", "version")
        kwargs["initial"] = {name: getattr(target, name) for name in names}
        super().__init__(*args, plants=Plant.objects.filter(pk=target.plant_id), **kwargs)


class SecretForm(forms.Form):
    overlap = forms.ChoiceField(
        label=_("The old secret still signs for"),
        choices=OVERLAPS,
        help_text=_("Until then each message is signed with both, so that nothing is missed."),
    )

    def overlap_span(self) -> timedelta:
        return timedelta(hours=int(self.cleaned_data["overlap"]))


class LogForm(forms.Form):
    state = forms.ChoiceField(label=_("State"), required=False)

    def __init__(self, *args: Any, states: list[tuple[str, Any]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["state"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", _("all")), *states]

    def chosen(self) -> str:
        return self.cleaned_data["state"] if self.is_valid() else ""
