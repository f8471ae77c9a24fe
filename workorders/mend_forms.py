"""Filters of the page of mends; all of them stand in the address."""

from collections.abc import Mapping
from datetime import date

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.trend_forms import TrendForm
from plant.metering.basis import Basis
from plant.models import Plant
from workorders.mend_words import GROUPED_BY_WORDS
from workorders.selectors.mend_lives import GroupedBy


class MendForm(TrendForm):
    """As of the trends, by the day the proof was passed."""

    by = forms.ChoiceField(
        label=_("Compare by"),
        required=False,
        choices=[(one.value, words) for one, words in GROUPED_BY_WORDS.items()],
    )

    per = forms.ChoiceField(
        label=_("Time in"),
        required=False,
        choices=[("", _("calendar days")), (Basis.RUNNING.value, _("running hours"))],
    )

    def __init__(self, asked: Mapping[str, str], *, plants: list[Plant], today: date) -> None:
        super().__init__({"by": GroupedBy.METHOD.value, **asked}, plants=plants, today=today)

    def grouped_by(self) -> GroupedBy:
        said = self.cleaned_data.get("by") if self.is_valid() else ""
        return GroupedBy(said) if said else GroupedBy.METHOD

    def time_in(self) -> Basis:
        return self.basis() or Basis.CALENDAR
