"""What the keeper fills in about work on a belt; each form makes one operation."""

from datetime import date
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.utils.translation import gettext_lazy as _

from plant.belt_forms import BeltForm
from plant.days import check_day
from plant.loop.belt_life import Turn
from plant.loop.belt_operations import (
    CutOut,
    NewReference,
    NewSplice,
    Operation,
    PutIn,
    TurnOver,
    WorkKind,
)
from plant.models import Belt
from plant.register_forms import DAY

_AT_MOST_M = 100_000
TURN_WORDS = {
    Turn.ALONG: _("turned over along its length: other cover, same direction, left is right"),
    Turn.ENDS: _("turned over end for end: other cover, other direction, sides as before"),
    Turn.FLAT: _("end for end, not turned over: same cover, other direction, left is right"),
}


def _metres(label: Any, help_text: Any = "") -> forms.FloatField:
    return forms.FloatField(
        label=label,
        help_text=help_text,
        validators=[MinValueValidator(0), MaxValueValidator(_AT_MOST_M)],
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )


def _splice_name(label: Any, *, required: bool = True, help_text: Any = "") -> forms.CharField:
    return forms.CharField(label=label, max_length=20, required=required, help_text=help_text)


class WorkForm(forms.Form):
    """`operation` makes the operation of a valid form."""

    # Last in every form.
    done_on = forms.DateField(label=_("done on"), widget=DAY, validators=[check_day])
    note = forms.CharField(label=_("note"), max_length=200, required=False)

    def __init__(self, *args: Any, belt: Belt, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.belt = belt
        self.fields["done_on"].initial = today
        self.order_fields([name for name in self.fields if name not in WorkForm.base_fields])

    def operation(self) -> Operation:
        raise NotImplementedError


class NewSpliceForm(WorkForm):
    at_m = _metres(
        _("belt position [m]"),
        _("Along the belt from its reference splice (0 m) in the direction of travel."),
    )
    name = _splice_name(_("name of the splice"))

    def operation(self) -> Operation:
        return NewSplice(self.cleaned_data["at_m"], self.cleaned_data["name"])


class NewReferenceForm(WorkForm):
    splice = forms.TypedChoiceField(label=_("count from"), coerce=int)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["splice"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [
            (one.pk, f"{one.name}, {one.belt_position_m:g} m") for one in self.belt.splices.all()
        ]

    def operation(self) -> Operation:
        return NewReference(self.cleaned_data["splice"])


class CutOutForm(WorkForm):
    from_m = _metres(_("from belt position [m]"))
    to_m = _metres(
        _("to belt position [m]"),
        _("In the direction of travel; smaller than from when the reference splice goes too."),
    )
    name = _splice_name(_("name of the new splice"), help_text=_("It joins the two ends."))

    def operation(self) -> Operation:
        asked = self.cleaned_data
        return CutOut(asked["from_m"], asked["to_m"], asked["name"])


class PutInForm(WorkForm):
    at_m = _metres(
        _("opened at belt position [m]"),
        _("The section comes behind this place in the direction of travel."),
    )
    length_m = _metres(_("length of the section [m]"))
    name = _splice_name(
        _("name of its first splice"),
        required=False,
        help_text=_("Leave it empty where a splice is opened: that one keeps its name."),
    )
    second_name = _splice_name(_("name of its second splice"))

    def operation(self) -> Operation:
        asked = self.cleaned_data
        return PutIn(asked["at_m"], asked["length_m"], asked["name"], asked["second_name"])


class TurnForm(WorkForm):
    how = forms.TypedChoiceField(
        label=_("how"),
        coerce=Turn,
        choices=[(one.value, TURN_WORDS[one]) for one in Turn],
        widget=forms.RadioSelect,
    )

    def operation(self) -> Operation:
        return TurnOver(self.cleaned_data["how"])


FORMS: dict[WorkKind, type[WorkForm]] = {
    WorkKind.SPLICED: NewSpliceForm,
    WorkKind.REFERENCE: NewReferenceForm,
    WorkKind.CUT_OUT: CutOutForm,
    WorkKind.PUT_IN: PutInForm,
    WorkKind.TURNED: TurnForm,
}


class ReplaceForm(BeltForm):
    """The new belt, and when the old one came off."""

    removed_on = forms.DateField(label=_("old belt off on"), widget=DAY, validators=[check_day])
    field_order = ["removed_on"]
