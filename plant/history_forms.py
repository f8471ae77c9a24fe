"""How the history of a conveyor is narrowed, and of which day the register is asked for."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from plant.days import check_day
from plant.register_forms import DAY
from plant.selectors.change_words import KINDS, Kind
from plant.selectors.register_history import Wanted


class HistoryFilter(forms.Form):
    of = forms.ChoiceField(
        label=_("changes of"),
        required=False,
    )
    name = forms.CharField(label=_("name"), required=False, max_length=60)
    row = forms.IntegerField(
        required=False, min_value=1, max_value=2**63 - 1, widget=forms.HiddenInput
    )

    def __init__(self, *args: Any, kinds: Sequence[Kind] = KINDS, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["of"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", _("everything")), *((kind.code, kind.words) for kind in kinds)]
        if len(kinds) == 1:
            field.widget = forms.HiddenInput()

    def wanted(self) -> Wanted:
        """What was understood; what was not narrows nothing."""
        self.is_valid()
        asked = self.cleaned_data
        return Wanted(asked.get("of") or "", (asked.get("name") or "").strip(), asked.get("row"))


class DayForm(forms.Form):
    on = forms.DateField(label=_("as it stood on"), widget=DAY, validators=[check_day])

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._today = today
        self.fields["on"].widget.attrs = {**DAY.attrs, "max": today.isoformat()}

    def clean_on(self) -> date:
        day: date = self.cleaned_data["on"]
        if day > self._today:
            raise ValidationError(_("That day is still to come."))
        return day
