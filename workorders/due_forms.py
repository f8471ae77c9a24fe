"""What people choose on the due list, and how its rows become orders."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from plant.keys_typed import key_in
from plant.models import Plant
from workorders.life_subjects import RENEWED_WORDS, Renewed
from workorders.month import Month
from workorders.selectors.due_list import DueWanted

_ANYTHING = ("", _("anything"))


class DueFilter(forms.Form):
    plant = forms.ChoiceField(label=_("plant"), required=False)
    conveyor = forms.CharField(label=_("conveyor"), required=False, max_length=40)
    what = forms.ChoiceField(
        label=_("what"),
        required=False,
        choices=[_ANYTHING, *((one.value, RENEWED_WORDS[one]) for one in Renewed)],
    )
    month = forms.ChoiceField(label=_("month"), required=False)

    def __init__(
        self, *args: Any, plants: Iterable[Plant], months: Iterable[Month], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        codes = [(one.code, one.name) for one in plants]
        if len(codes) > 1:
            self.fields["plant"] = forms.ChoiceField(
                label=_("plant"), required=False, choices=[("", _("all plants")), *codes]
            )
        else:
            del self.fields["plant"]
        named = [(one.code, date_format(one.first, "F Y")) for one in months]
        self.fields["month"] = forms.ChoiceField(
            label=_("month"), required=False, choices=[("", _("all twelve")), *named]
        )

    def wanted(self) -> DueWanted:
        """What was understood; what was not narrows nothing."""
        self.is_valid()
        said = self.cleaned_data
        tag = (said.get("conveyor") or "").replace("\x00", "").strip()
        return DueWanted(
            said.get("plant") or "", tag, said.get("month") or "", said.get("what") or ""
        )


class RaiseDueForm(forms.Form):
    """How the chosen rows become orders."""

    MONTH, EACH = "month", "each"
    bundled = forms.ChoiceField(
        label=_("one order"),
        choices=[
            (MONTH, _("per belt, month and kind of work: one isolation, one crew")),
            (EACH, _("per row")),
        ],
        initial=MONTH,
        widget=forms.RadioSelect,
    )

    @property
    def by_month(self) -> bool:
        return str(self.cleaned_data["bundled"]) == self.MONTH


def keys_chosen(said: Iterable[str]) -> list[int]:
    """The keys of rows that a page sent; what is none is left out."""
    found = (key_in(one) for one in said)
    return list(dict.fromkeys(key for key in found if key is not None))
