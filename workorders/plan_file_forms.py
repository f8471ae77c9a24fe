"""Which days of the plan somebody takes away."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from plant.days import check_day
from plant.models import Plant

_USUAL = timedelta(days=27)
_MOST_DAYS = 366
_DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class PlanDaysForm(forms.Form):
    """Days of the plants' own calendars, both told; empty ones mean the coming four weeks."""

    first = forms.DateField(label=_("from"), required=False, widget=_DAY, validators=[check_day])
    last = forms.DateField(label=_("until"), required=False, widget=_DAY, validators=[check_day])
    plant = forms.ChoiceField(label=_("plant"), required=False)

    def __init__(self, *args: Any, plants: list[Plant], today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.plants, self.today = plants, today
        self.fields["first"].initial = today
        self.fields["last"].initial = today + _USUAL
        plant_field = self.fields["plant"]
        assert isinstance(plant_field, forms.ChoiceField)
        plant_field.choices = [("", _("all")), *((plant.code, plant.name) for plant in plants)]
        if len(plants) < 2:
            del self.fields["plant"]

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or self.cleaned_data
        if self.errors:
            return filled
        first = filled["first"] or self.today
        last = filled["last"] or first + _USUAL
        if last < first:
            self.add_error("last", _("The last day comes before the first."))
        elif (last - first).days >= _MOST_DAYS:
            self.add_error("last", _("At most a year is handed out at once."))
        return {**filled, "first": first, "last": last}

    def plants_asked(self) -> list[Plant]:
        code = self.cleaned_data.get("plant")
        return [plant for plant in self.plants if not code or plant.code == code]
