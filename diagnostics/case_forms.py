"""Filters of the case list, and the words a move of a case asks for."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.case_states import CaseState
from diagnostics.complaint_forms import offer_plants
from diagnostics.selectors import case_list
from plant.models import Plant


class CaseFilterForm(forms.Form):
    state = forms.ChoiceField(
        label=_("state"),
        required=False,
        choices=[
            (case_list.OPEN, _("open ones")),
            (case_list.TO_LOOK_AT, _("to be looked at")),
            (case_list.TO_CONFIRM, _("to be confirmed")),
            (case_list.ALL, _("all")),
            *((state.value, _(state.value)) for state in CaseState),
        ],
    )
    plant = forms.ChoiceField(label=_("plant"), required=False)
    belt = forms.CharField(label=_("belt"), required=False, max_length=60)
    words = forms.CharField(label=_("number or words"), required=False, max_length=100)

    def __init__(self, *args: Any, plants: list[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_plants(self, plants)

    def wanted(self) -> dict[str, str]:
        """What is asked for; a filter that makes no sense is left out."""
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}


class CaseMoveForm(forms.Form):
    to_state = forms.ChoiceField(
        choices=[(state.value, state.value) for state in CaseState], widget=forms.HiddenInput
    )
    why = forms.CharField(
        label=_("why"), required=False, max_length=400, widget=forms.Textarea(attrs={"rows": 2})
    )

    def needs_words(self) -> "CaseMoveForm":
        self.fields["why"].required = True
        return self


class LostHoursForm(forms.Form):
    lost_hours = forms.DecimalField(
        label=_("hours the belt stood still or ran empty because of it"),
        required=False,
        min_value=0,
        max_value=99_999,
        max_digits=7,
        decimal_places=2,
        localize=True,
        help_text=_("A figure such as 3.5; leave it empty when nobody knows."),
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
