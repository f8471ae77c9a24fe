"""What a keeper fills in about idler sets; each form knows the change it asks for."""

from typing import Any, ClassVar

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from plant.idler_words import EXAMPLE, EXAMPLE_COUNTED, refused_line
from plant.loop.idler_changes import MOST_NUMBER, Change, PutIn, Renumber, Shift, TakeOut
from plant.loop.idler_line import MOST_LETTERS, IdlerLine, LineRefused, read_line
from plant.loop.idler_sets import to_mm
from plant.loop.vocabulary import IDLERS, ComponentKind
from plant.register_forms import DAY
from plant.words import KIND_WORDS

_NAME_LENGTH = 40


class MetresField(forms.DecimalField):
    """Metres to the millimetre, with a decimal point or a comma."""

    widget = forms.TextInput(attrs={"inputmode": "decimal"})

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_digits=9, decimal_places=3, **kwargs)

    def to_python(self, value: Any) -> Any:
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)


class LineForm(forms.Form):
    line = forms.CharField(
        label=_("one line for the whole group"),
        max_length=MOST_LETTERS,
        help_text=_(
            "Kind, spacing, first and last place along the belt or the number of sets. In front "
            "“C:” for the name, behind “numbered from 21”, “on the return run”."
        ),
        widget=forms.Textarea(attrs={"rows": 2, "placeholder": EXAMPLE, "autocomplete": "off"}),
    )
    examples = (EXAMPLE, EXAMPLE_COUNTED)

    def clean_line(self) -> str:
        typed: str = self.cleaned_data["line"]
        try:
            self.read: IdlerLine = read_line(typed)
        except LineRefused as refusal:
            raise forms.ValidationError(refused_line(refusal)) from refusal
        return typed


class ChangeForm(forms.Form):
    """`address` is where it stands; `heading` and `button` are said about it."""

    address: ClassVar[str]
    heading: ClassVar[str | Promise]
    says: ClassVar[str | Promise]

    def change(self) -> Change:
        raise NotImplementedError


def _name_field(label: Any, **more: Any) -> forms.CharField:
    return forms.CharField(label=label, max_length=_NAME_LENGTH, **more)


def _number_field(label: Any, **more: Any) -> forms.IntegerField:
    return forms.IntegerField(label=label, min_value=1, max_value=MOST_NUMBER, **more)


_SERIES = _("name of the sets, without number")


class TakeOutForm(ChangeForm):
    address = "idlers-take-out"
    heading = _("Take an idler set out")
    says = _("The sets beside it stay where they are.")

    name = _name_field(_("set"), help_text=_("Its name with its number, such as C20."))
    renumber = forms.BooleanField(
        label=_("close up the numbers behind it"), required=False, initial=False
    )

    def change(self) -> TakeOut:
        return TakeOut(self.cleaned_data["name"], self.cleaned_data["renumber"])


class PutInForm(ChangeForm):
    address = "idlers-put-in"
    heading = _("Put an idler set in")
    says = _("The sets beside it stay where they are.")

    series = _name_field(_SERIES, help_text=_("Of the sets that it stands among."))
    at_m = MetresField(label=_("loop position [m]"))
    name = _name_field(
        _("name"),
        required=False,
        help_text=_("A free number of the sets, such as C20, or a name of its own: C20A."),
    )
    renumber = forms.BooleanField(
        label=_("it takes the next number, and those behind it count one up"), required=False
    )
    kind = forms.ChoiceField(
        label=_("kind"),
        required=False,
        choices=[
            ("", _("as the sets beside it")),
            *((kind.value, KIND_WORDS[kind]) for kind in ComponentKind if kind in IDLERS),
        ],
    )
    fitted_on = forms.DateField(label=_("fitted"), required=False, widget=DAY)
    note = forms.CharField(label=_("note"), required=False, max_length=2000)

    def change(self) -> PutIn:
        filled = self.cleaned_data
        return PutIn(
            series=filled["series"],
            at_mm=to_mm(float(filled["at_m"])),
            name=filled["name"],
            is_renumbered=filled["renumber"],
            kind=ComponentKind(filled["kind"]) if filled["kind"] else None,
            fitted_on=filled["fitted_on"],
            note=filled["note"],
        )


class ShiftForm(ChangeForm):
    address = "idlers-shift"
    heading = _("Shift idler sets")
    says = _("All sets of that name move, or those from a number on; no set moves past another.")

    series = _name_field(_SERIES)
    from_number = _number_field(
        _("from number on"), required=False, help_text=_("Empty: all of them.")
    )
    by_m = MetresField(
        label=_("by [m]"),
        help_text=_("In the direction of travel; with a minus, against it."),
    )

    def change(self) -> Shift:
        filled = self.cleaned_data
        return Shift(filled["series"], to_mm(float(filled["by_m"])), filled["from_number"])


class RenumberForm(ChangeForm):
    address = "idlers-renumber"
    heading = _("Number idler sets anew")
    says = _("The set with the one number gets the other, and those behind it count on from there.")

    series = _name_field(_SERIES)
    from_number = _number_field(_("from number on"))
    to_number = _number_field(_("it gets number"))

    def change(self) -> Renumber:
        filled = self.cleaned_data
        return Renumber(filled["series"], filled["from_number"], filled["to_number"])


FORMS: tuple[type[ChangeForm], ...] = (TakeOutForm, PutInForm, ShiftForm, RenumberForm)


def filled_with(change: Change) -> tuple[str, dict[str, str]]:
    """The address of the form that asks for this change, and what fills it."""
    match change:
        case TakeOut():
            return TakeOutForm.address, _said(name=change.name, renumber=change.is_renumbered)
        case PutIn():
            return PutInForm.address, _said(
                series=change.series,
                at_m=change.at_mm / 1000,
                name=change.name,
                renumber=change.is_renumbered,
                kind=change.kind.value if change.kind else "",
                fitted_on=change.fitted_on,
                note=change.note,
            )
        case Shift():
            by_m, number = change.by_mm / 1000, change.from_number
            return ShiftForm.address, _said(series=change.series, by_m=by_m, from_number=number)
        case Renumber():
            return RenumberForm.address, _said(
                series=change.series,
                from_number=change.from_number,
                to_number=change.to_number,
            )


def _said(**values: Any) -> dict[str, str]:
    return {name: str(value) for name, value in values.items() if value not in (None, "", False)}
