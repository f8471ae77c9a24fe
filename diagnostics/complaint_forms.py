"""What the clerk fills in."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from diagnostics.models import Case, Complaint
from diagnostics.services.complaints import Report
from plant import access
from plant.keys_typed import key_in
from plant.models import Component, Conveyor, Plant, User
from plant.selectors import loops

NOT_SURE = "none"
NEW_PROBLEM = "new"
_WHY_LENGTH = 400


class BeltForm(forms.Form):
    """Which belt it is, and whether a case that is open on it is the same problem.

    `belt` is a conveyor's key or NOT_SURE, `join` a case's key or NEW_PROBLEM; `seen` comes once
    for each open case that stood on the page.
    """

    may_be_unsure = False

    belt_words = forms.CharField(
        label=_("which belt"),
        required=False,
        max_length=100,
        help_text=_("Tag, name or what they call it; typing errors are forgiven."),
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
    belt = forms.CharField(required=False, widget=forms.HiddenInput)
    join = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.user = user

    def clean_belt(self) -> Conveyor | None:
        asked = self.cleaned_data["belt"]
        if asked == NOT_SURE and self.may_be_unsure:
            return None
        found = conveyor_asked(self.user, asked)
        if found is None:
            raise ValidationError(
                _("Choose the belt from those found, or say that nobody is sure.")
                if self.may_be_unsure
                else _("Choose the belt from those found.")
            )
        return found

    def clean_join(self) -> str:
        asked: str = self.cleaned_data["join"]
        if asked and asked != NEW_PROBLEM and key_in(asked) is None:
            raise ValidationError(_("Choose one of the cases shown, or a new problem."))
        return asked

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        is_on_a_belt = filled.get("belt") is not None
        if is_on_a_belt and self.seen_case_ids() and not filled.get("join"):
            self.add_error("join", _("Say whether it is the same problem or a new one."))
        return filled

    def seen_case_ids(self) -> frozenset[int]:
        return seen_ids(self.data)

    def join_case_id(self) -> int | None:
        asked = self.cleaned_data["join"]
        return key_in(asked)


def seen_ids(typed: Mapping[str, Any]) -> frozenset[int]:
    """Keys of the cases that stood on the page when it was sent."""
    seen = typed.getlist("seen") if hasattr(typed, "getlist") else []
    return frozenset(key for one in seen if (key := key_in(one)) is not None)


def conveyor_asked(user: User, asked: str) -> Conveyor | None:
    """The visible conveyor of a key as it came from the page."""
    key = key_in(asked)
    if key is None:
        return None
    in_service = Conveyor.objects.in_service().select_related("plant")
    return access.visible(in_service, user).filter(pk=key).first()


def zone_asked(user: User, asked: str) -> str:
    """The zone in which the visible component of a key stands; empty when nobody can say."""
    key = key_in(asked)
    if key is None:
        return ""
    found = access.visible(Component.objects.select_related("conveyor"), user).filter(pk=key)
    component = found.first()
    return loops.zone_of(component) if component else ""


class ComplaintForm(BeltForm):
    may_be_unsure = True

    words = forms.CharField(
        label=_("caller's words"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("As they said it."),
    )
    how_bad = forms.ChoiceField(label=_("how bad"), choices=Complaint.HowBad.choices)
    roughly_where = forms.ChoiceField(
        label=_("roughly where"),
        required=False,
        choices=[
            ("", _("not said")),
            *Complaint._meta.get_field("roughly_where").flatchoices,
        ],
    )
    people_near = forms.ChoiceField(
        label=_("can somebody get hurt there"),
        required=False,
        choices=[("", _("not said")), *Complaint.PeopleNear.choices],
    )
    caller_name = forms.CharField(label=_("caller"), required=False, max_length=120)
    caller_contact = forms.CharField(label=_("way to call back"), required=False, max_length=120)
    shift = forms.CharField(label=_("shift"), required=False, max_length=40)
    plant = forms.ModelChoiceField(
        label=_("plant"),
        queryset=Plant.objects.none(),
        required=False,
        help_text=_("Only asked for while nobody is sure which belt it is."),
    )

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, user=user, **kwargs)
        plants = access.plants_of(user)
        self.fields["plant"].queryset = plants  # type: ignore[attr-defined]
        if plants.count() < 2:
            del self.fields["plant"]

    def clean(self) -> dict[str, Any]:
        filled = super().clean()
        if filled.get("belt") is None and "belt" not in self.errors and self.plant_meant() is None:
            if "plant" in self.fields:
                self.add_error("plant", _("Say at which plant the belt is."))
            else:
                self.add_error("belt", _("You are not assigned to a plant yet."))
        return filled

    def plant_meant(self) -> Plant | None:
        """That of the belt, else the one chosen, else the person's only one."""
        belt = self.cleaned_data.get("belt")
        if belt is not None:
            return belt.plant
        if "plant" in self.fields:
            return self.cleaned_data.get("plant")
        return access.plants_of(self.user).first()

    def plant_named(self) -> Plant:
        """As plant_meant, of a form that is valid."""
        plant = self.plant_meant()
        if plant is None:
            raise ValueError("a valid form names a plant")
        return plant

    def report(self) -> Report:
        filled = self.cleaned_data
        names = (
            "words",
            "how_bad",
            "roughly_where",
            "people_near",
            "caller_name",
            "caller_contact",
            "shift",
        )
        return Report(conveyor=filled["belt"], **{name: filled[name] for name in names})


class ComplaintFilterForm(forms.Form):
    plant = forms.ChoiceField(label=_("plant"), required=False)
    belt = forms.CharField(label=_("belt"), required=False, max_length=60)
    which = forms.ChoiceField(
        label=_("which"),
        required=False,
        choices=[
            ("", _("all")),
            ("standing", _("standing")),
            ("without a belt", _("without a belt")),
            ("withdrawn", _("withdrawn")),
        ],
    )
    words = forms.CharField(label=_("words or caller"), required=False, max_length=100)

    def __init__(self, *args: Any, plants: list[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_plants(self, plants)

    def wanted(self) -> dict[str, str]:
        """What is asked for; a filter that makes no sense is left out."""
        self.is_valid()
        return {name: self.cleaned_data[name] for name in self.cleaned_data}


def offer_plants(form: forms.Form, plants: list[Plant]) -> None:
    """Fill the filter by plant; somebody with one plant is not asked."""
    if len(plants) < 2:
        del form.fields["plant"]
        return
    choices = [("", _("all")), *((plant.code, plant.name) for plant in plants)]
    form.fields["plant"].choices = choices  # type: ignore[attr-defined]


class MoveComplaintForm(forms.Form):
    case = forms.ModelChoiceField(
        label=_("to case"),
        queryset=Case.objects.none(),
        empty_label=_("choose one"),
        help_text=_("Open cases of this plant, those on the same belt first."),
    )

    def __init__(self, *args: Any, cases: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["case"]
        field.queryset = cases
        field.label_from_instance = lambda case: (
            f"{case.number} {case.conveyor.tag}: {case.summary}"
        )


class WhyForm(forms.Form):
    why = forms.CharField(
        label=_("why"), max_length=_WHY_LENGTH, widget=forms.Textarea(attrs={"rows": 2})
    )
