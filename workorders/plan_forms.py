"""Asking for a proposal: days in the plant's own calendar, and what may move."""

from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext_lazy as _

from plant.days import check_day
from plant.models import Plant
from workorders.services.plan_runs import Wanted

_USUAL = timedelta(days=27)
_KEEP, _ANEW = "keep", "anew"


def _day(label: Any, **options: Any) -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(label=label, widget=widget, validators=[check_day], **options)


class PlanForm(forms.Form):
    first_on = _day(_("from"))
    last_on = _day(_("up to and with"))
    moving = forms.ChoiceField(
        label=_("orders that have a place"),
        choices=[
            (_KEEP, _("stay where they are, but for one in twenty or what cannot stay")),
            (_ANEW, _("may all move, but for pinned ones")),
        ],
        widget=forms.RadioSelect,
        initial=_KEEP,
    )

    @classmethod
    def usual(cls, plant: Plant, now: datetime) -> "PlanForm":
        today = plant.day_of(now)
        return cls(initial={"first_on": today, "last_on": today + _USUAL, "moving": _KEEP})

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        first, last = cleaned.get("first_on"), cleaned.get("last_on")
        if first and last and last < first:
            self.add_error("last_on", _("The last day must not be before the first."))
        return cleaned

    def wanted(self, plant: Plant) -> Wanted:
        zone = plant.zone_info
        return Wanted(
            from_at=_midnight(self.cleaned_data["first_on"], zone),
            until_at=_midnight(self.cleaned_data["last_on"] + timedelta(days=1), zone),
            from_scratch=self.cleaned_data["moving"] == _ANEW,
        )


def _midnight(day: date, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, time(), zone)
