"""Which month a report is asked for, and when one is made by itself."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from plant import access
from plant.models import Plant, User
from workorders.models import MonthlyReportSetting
from workorders.models.monthly_report import LAST_DAY_OF_MONTH, USUAL_DAY
from workorders.month import Month
from workorders.services.month_reports.scheduling import Wanted

_NOT_A_MONTH = _("Write the month like 2026-10, between 1950 and 2199.")


class MonthForm(forms.Form):
    month = forms.CharField(
        label=_("month"),
        max_length=7,
        widget=forms.TextInput(attrs={"type": "month", "pattern": "[0-9]{4}-[0-9]{2}"}),
        help_text=_("Like 2026-10. A month that goes on is reported until now."),
    )

    def clean_month(self) -> Month:
        try:
            return Month.read(self.cleaned_data["month"])
        except ValueError:
            raise forms.ValidationError(_NOT_A_MONTH, code="not_a_month") from None

    @classmethod
    def usual(cls, plant: Plant, now: datetime) -> "MonthForm":
        """The last month that is over."""
        last = Month.of(plant.day_of(now)).ahead(-1)
        return cls(initial={"month": last.code})


class _People(forms.ModelMultipleChoiceField):
    def label_from_instance(self, person: Any) -> str:
        return f"{person}, {person.email}" if person.email else f"{person} ({_('no address')})"


class ScheduleForm(forms.Form):
    is_on = forms.BooleanField(label=_("make it by itself every month"), required=False)
    day = forms.IntegerField(
        label=_("on this day of the month after"),
        min_value=1,
        max_value=LAST_DAY_OF_MONTH,
        help_text=_("From 1 to 28. The last days' cases should be written down by then."),
    )
    recipients = _People(
        queryset=User.objects.none(),
        label=_("and mail it to"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("People of the plant. Nobody ticked: it is made and not mailed."),
    )
    seen = forms.IntegerField(min_value=0, widget=forms.HiddenInput)

    def __init__(self, *args: Any, plant: Plant, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = self.fields["recipients"]
        assert isinstance(people, forms.ModelMultipleChoiceField)
        here = plant.people.filter(is_active=True).prefetch_related("groups")
        with_role = [one.pk for one in here if access.roles_of(one)]
        people.queryset = User.objects.filter(pk__in=with_role).order_by("username")

    def wanted(self) -> Wanted:
        filled = self.cleaned_data
        return Wanted(filled["is_on"], filled["day"], list(filled["recipients"]))

    @staticmethod
    def filled_with(kept: MonthlyReportSetting | None) -> dict[str, object]:
        if kept is None:
            return {"is_on": False, "day": USUAL_DAY, "recipients": [], "seen": 0}
        people = list(kept.recipients.values_list("pk", flat=True))
        return {"is_on": kept.is_on, "day": kept.day, "recipients": people, "seen": kept.version}
