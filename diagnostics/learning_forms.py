"""What a person chooses and sets on the pages of what was learned."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.complaint_forms import WhyForm
from diagnostics.inference.base_rates import PriorWeights
from diagnostics.models.learning import LEAST_CASES, MOST_CASES
from diagnostics.selectors import suspects
from plant.models import Conveyor, Plant


class LearningFilter(forms.Form):
    """Of which belt, and the cases of which cause; both stand in the address."""

    conveyor = forms.ChoiceField(label=_("conveyor"), required=False)
    cause = forms.ChoiceField(label=_("cases of"), required=False)

    def __init__(self, asked: Mapping[str, str], *, plant: Plant) -> None:
        super().__init__(asked)
        belts = Conveyor.objects.filter(plant=plant).order_by("tag")
        self._belts = {belt.tag: belt for belt in belts}
        conveyor, cause = self.fields["conveyor"], self.fields["cause"]
        assert isinstance(conveyor, forms.ChoiceField)
        assert isinstance(cause, forms.ChoiceField)
        conveyor.choices = [
            ("", _("the whole plant")),
            *((belt.tag, f"{belt.tag} {belt.name}") for belt in self._belts.values()),
        ]
        cause.choices = [("", _("all causes")), *suspects.causes_by_class(plant.pk)]

    def belt(self) -> Conveyor | None:
        return self._belts.get(self._said("conveyor"))

    def cause_slug(self) -> str:
        return self._said("cause")

    def _said(self, field: str) -> str:
        return str(self.cleaned_data.get(field, "")) if self.is_valid() else ""


def _cases_field(label: Any, help_text: Any) -> forms.FloatField:
    return forms.FloatField(
        label=label, help_text=help_text, min_value=LEAST_CASES, max_value=MOST_CASES
    )


class WeightsForm(WhyForm):
    start_cases = _cases_field(
        _("the even start weighs as much as so many cases of the plant"),
        _("More: the plant's cases move the families less."),
    )
    plant_cases = _cases_field(
        _("the plant's shares weigh as much as so many cases of one conveyor"),
        _("More: a conveyor's own cases move its families less."),
    )
    catalogue_cases = _cases_field(
        _("the catalogue's shares within a family weigh as much as so many cases of that family"),
        _("More: which cause of a family it was moves the family's causes less."),
    )
    field_order = ["start_cases", "plant_cases", "catalogue_cases", "why"]

    def weights(self) -> PriorWeights:
        filled = self.cleaned_data
        return PriorWeights(filled["start_cases"], filled["plant_cases"], filled["catalogue_cases"])
