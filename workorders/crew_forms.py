"""What people fill in about crews, their week and who is away."""

import re
from datetime import time
from typing import Any

from django import forms
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from diagnostics.knowledge_schema import SKILLS
from workorders.outage_forms import time_field
from workorders.planning.outages.shifts import WeeklyShift
from workorders.services.outages.absences import AbsenceWanted
from workorders.services.outages.crews import CrewWanted

MOST_SKILLS, LONGEST_SKILL = 20, 60
_MOST_SHIFTS_A_DAY = 6
# Hours with or without minutes, either side of any dash: 6-14, 06:00–14:00, 22.00-6.00
_SHIFT = re.compile(
    r"\s*([0-9]{1,2})(?:[:.]([0-9]{2}))?\s*[-–—]\s*([0-9]{1,2})(?:[:.]([0-9]{2}))?\s*\Z"
)


class CrewForm(forms.Form):
    name = forms.CharField(label=gettext_lazy("name"), max_length=60)
    people = forms.IntegerField(
        label=gettext_lazy("people"),
        min_value=1,
        max_value=99,
        help_text=gettext_lazy("Who can work at the same time in each of its shifts."),
    )
    skills = forms.MultipleChoiceField(
        label=gettext_lazy("what it can do"),
        choices=[(one, gettext_lazy(one)) for one in SKILLS],
        required=False,
        widget=forms.CheckboxSelectMultiple(attrs={"class": "skill-choice"}),
        help_text=gettext_lazy("The words of the work methods: a step that asks for one needs it."),
    )
    own_skills = forms.CharField(
        label=gettext_lazy("and what else"),
        max_length=600,
        required=False,
        help_text=gettext_lazy("Your own words, separated by commas."),
    )
    overtime_minutes = forms.IntegerField(
        label=gettext_lazy("overtime [min]"),
        min_value=0,
        max_value=480,
        initial=0,
        help_text=gettext_lazy("What may be asked for after the end of a shift when need be."),
    )

    def clean_own_skills(self) -> list[str]:
        said = [" ".join(one.split()) for one in self.cleaned_data["own_skills"].split(",")]
        words = list(dict.fromkeys(one for one in said if one))
        if any(len(one) > LONGEST_SKILL for one in words) or len(words) > MOST_SKILLS:
            raise forms.ValidationError(
                _("At most %(most)d words of at most %(letters)d letters."),
                params={"most": MOST_SKILLS, "letters": LONGEST_SKILL},
            )
        return words

    def wanted(self) -> CrewWanted:
        filled = self.cleaned_data
        skills = list(dict.fromkeys([*filled["skills"], *filled["own_skills"]]))
        return CrewWanted(filled["name"], filled["people"], skills, filled["overtime_minutes"])


class ShiftsForm(forms.Form):
    """A line for each day of the week, shifts separated by commas."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number, words in WEEKDAYS.items():
            self.fields[f"day_{number}"] = forms.CharField(
                label=words,
                max_length=120,
                required=False,
                widget=forms.TextInput(attrs={"autocomplete": "off"}),
            )
        self.fields["day_0"].help_text = gettext_lazy(
            "06:00-14:00, or several with a comma between; 22:00-06:00 ends on the next day. "
            "Empty: no shift."
        )

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        for number in range(7):
            try:
                filled[f"day_{number}"] = _shifts_of(number, filled.get(f"day_{number}", ""))
            except forms.ValidationError as error:
                self.add_error(f"day_{number}", error)
        return filled

    def shifts(self) -> list[WeeklyShift]:
        return [one for number in range(7) for one in self.cleaned_data[f"day_{number}"]]


class AbsenceForm(forms.Form):
    starts_at = time_field(label=gettext_lazy("from"))
    ends_at = time_field(label=gettext_lazy("until"))
    people = forms.IntegerField(
        label=gettext_lazy("how many are away"), min_value=1, max_value=99, initial=1
    )
    why = forms.CharField(
        label=gettext_lazy("why"),
        max_length=200,
        required=False,
        help_text=gettext_lazy("Training, leave; nothing about anybody's health."),
    )

    def wanted(self) -> AbsenceWanted:
        filled = self.cleaned_data
        return AbsenceWanted(
            filled["starts_at"], filled["ends_at"], filled["people"], filled["why"]
        )


def shift_text(begins_at: time, ends_at: time) -> str:
    return f"{begins_at:%H:%M}-{ends_at:%H:%M}"


def _shifts_of(weekday: int, said: str) -> list[WeeklyShift]:
    parts = [one for one in re.split(r"[,;]", said) if one.strip()]
    if len(parts) > _MOST_SHIFTS_A_DAY:
        raise forms.ValidationError(
            _("At most %(most)d shifts a day."), params={"most": _MOST_SHIFTS_A_DAY}
        )
    return [_shift_of(weekday, one) for one in parts]


def _shift_of(weekday: int, said: str) -> WeeklyShift:
    found = _SHIFT.match(said)
    try:
        if found is None:
            raise ValueError(said)
        begins = time(int(found[1]), int(found[2] or 0))
        ends = time(int(found[3]), int(found[4] or 0)) if not _is_24(found) else time()
    except ValueError:
        raise forms.ValidationError(
            _("“%(said)s” is no shift; write it like 06:00-14:00."),
            params={"said": said.strip()[:30]},
        ) from None
    return WeeklyShift(weekday, begins, ends)


def _is_24(found: re.Match[str]) -> bool:
    """Midnight at the end of a day, as half the world writes it."""
    return found[3] == "24" and int(found[4] or 0) == 0
