"""Filters of the trend pages; all of them stand in the address."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.class_words import CLASS_WORDS
from diagnostics.fault_choice import Span, span_days
from diagnostics.selectors.trends import Period
from plant.days import FIRST_DAY, LAST_DAY, check_day
from plant.exposure_words import PER_CHOICES, basis_asked
from plant.metering.basis import Basis
from plant.models import Plant

_LONGEST_DAYS = 366 * 40


FAMILIES: list[tuple[str, Any]] = [
    ("", _("all")),
    *((cause_class.value, words) for cause_class, words in CLASS_WORDS.items()),
]


def day_field(label: Any) -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(label=label, required=False, widget=widget, validators=[check_day])


class TrendForm(forms.Form):
    since = day_field(_("From"))
    until = day_field(_("To"))
    family = forms.ChoiceField(label=_("Cause family"), required=False, choices=FAMILIES)
    per = forms.ChoiceField(label=_("Rates in"), required=False, choices=PER_CHOICES)
    plant = forms.ChoiceField(label=_("Plant"), required=False)

    def __init__(self, asked: Mapping[str, str], *, plants: list[Plant], today: date) -> None:
        said = {name: text for name, text in asked.items() if text}
        until = _day_said(said.get("until", ""), today)
        usual = {"since": usual_period(until).first.isoformat(), "until": until.isoformat()}
        # The usual period stands in the fields, so that a person sees what they look at.
        super().__init__({**usual, **said})
        self._today = today
        if len(plants) < 2:
            del self.fields["plant"]
            return
        plant_field = self.fields["plant"]
        assert isinstance(plant_field, forms.ChoiceField)
        plant_field.choices = [("", _("all")), *((plant.code, plant.name) for plant in plants)]

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        if self.errors:
            return filled
        check_order(self)
        return filled

    def period(self) -> Period:
        """What was asked for; the usual period while a date is wrong."""
        if not self.is_valid():
            return usual_period(self._today)
        filled = self.cleaned_data
        return Period(filled["since"], filled["until"], filled.get("family", ""))

    def basis(self) -> Basis | None:
        """The exposure that was asked for; None for the usual."""
        return basis_asked(self.cleaned_data.get("per", "")) if self.is_valid() else None

    def plant_code(self) -> str:
        return self.cleaned_data.get("plant", "") if self.is_valid() else ""


def check_order(form: forms.Form) -> None:
    """Put it to the field when two days make no period; both are days."""
    since, until = form.cleaned_data["since"], form.cleaned_data["until"]
    if since > until:
        form.add_error("until", _("The period ends before it begins."))
    elif (until - since).days > _LONGEST_DAYS:
        form.add_error("since", _("Choose a period of at most 40 years."))


def usual_period(last: date) -> Period:
    """The usual period that ends on a day: that of the repeat offenders, so that figures agree."""
    return Period(*span_days(Span.USUAL, last))


def _day_said(text: str, otherwise: date) -> date:
    try:
        said = date.fromisoformat(text)
    except ValueError:
        return otherwise
    return said if FIRST_DAY <= said <= LAST_DAY else otherwise
