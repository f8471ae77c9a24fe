"""What people fill in when rolls of idler sets were changed, and how the list is narrowed."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from plant.days import check_day
from plant.loop.rolls import RollPlace, WhyChanged
from plant.loop.set_choice import MOST_LETTERS
from plant.models import Conveyor
from plant.register_forms import DAY
from plant.roll_words import WHY_WORDS
from plant.selectors.rolls import ChangesWanted
from plant.services.changing_rolls import Changed

_WHY = [(one.value, WHY_WORDS[one]) for one in WhyChanged]


class RollChangeForm(forms.Form):
    sets = forms.CharField(
        label=_("sets"),
        max_length=MOST_LETTERS,
        help_text=_("Their numbers: 12, 14, 17-19. “all” for every set of that name."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    rolls = forms.MultipleChoiceField(
        label=_("rolls of each set"), widget=forms.CheckboxSelectMultiple
    )
    changed_on = forms.DateField(label=_("changed on"), widget=DAY, validators=[check_day])
    why = forms.ChoiceField(label=_("why"), choices=_WHY, widget=forms.RadioSelect)
    fitted = forms.CharField(
        label=_("new roll"),
        max_length=120,
        required=False,
        help_text=_("Its maker, size or part number."),
    )
    changed_by = forms.CharField(label=_("changed by"), max_length=80, required=False)
    note = forms.CharField(label=_("note"), max_length=200, required=False)

    def __init__(self, *args: Any, rolls: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["rolls"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = rolls

    def changed(self) -> Changed:
        filled = self.cleaned_data
        return Changed(
            sets=filled["sets"],
            rolls=[RollPlace(one) for one in filled["rolls"]],
            changed_on=filled["changed_on"],
            why=WhyChanged(filled["why"]),
            fitted=filled["fitted"],
            changed_by=filled["changed_by"],
            note=filled["note"],
        )


class RollChangeFilter(forms.Form):
    of = forms.TypedChoiceField(label=_("idlers"), required=False, coerce=int, empty_value=None)
    why = forms.ChoiceField(label=_("why"), required=False, choices=[("", _("any reason")), *_WHY])
    since = forms.DateField(label=_("from"), required=False, widget=DAY, validators=[check_day])
    until = forms.DateField(label=_("to"), required=False, widget=DAY, validators=[check_day])
    undone = forms.BooleanField(label=_("also those taken back"), required=False)

    def __init__(self, *args: Any, conveyor: Conveyor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["of"]
        assert isinstance(field, forms.TypedChoiceField)
        groups = [one for one in conveyor.components.all() if one.is_idler]
        field.choices = [("", _("all idlers")), *((one.pk, one.name) for one in groups)]

    def wanted(self) -> ChangesWanted:
        """What was understood; what was not narrows nothing."""
        self.is_valid()
        asked = self.cleaned_data
        since: date | None = asked.get("since")
        return ChangesWanted(
            component=asked.get("of"),
            why=asked.get("why") or "",
            since=since,
            until=asked.get("until"),
            also_undone=bool(asked.get("undone")),
        )
