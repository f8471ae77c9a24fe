"""What a lead fills in about work that is raised by itself."""

from django import forms
from django.utils.translation import gettext_lazy as _

from workorders.auto_raising import SetPoint
from workorders.models import RaisingSetting
from workorders.models.raising_setting import LEAST_PROBABILITY, MOST_PROBABILITY
from workorders.order_words import URGENCY_WORDS
from workorders.selectors import raising_settings
from workorders.urgency import Urgency


class RaisingForm(forms.Form):
    is_on = forms.BooleanField(label=_("propose work by itself"), required=False)
    percent = forms.IntegerField(
        label=_("from this probability on [%]"),
        min_value=round(100 * LEAST_PROBABILITY),
        max_value=round(100 * MOST_PROBABILITY),
        help_text=_("Of the first suspicion, at its place, as a diagnosis with enough looks says."),
    )
    least_urgency = forms.ChoiceField(
        label=_("and only when it is judged at least"),
        choices=[(one.value, words) for one, words in URGENCY_WORDS.items()],
        widget=forms.RadioSelect,
    )
    seen = forms.IntegerField(min_value=0, widget=forms.HiddenInput)

    @staticmethod
    def filled_with(row: RaisingSetting | None) -> dict[str, object]:
        point = raising_settings.point_of(row)
        return {
            "is_on": point.is_on,
            "percent": round(100 * point.probability),
            "least_urgency": point.least_urgency.value,
            "seen": row.pk if row else 0,
        }

    def point(self) -> SetPoint:
        filled = self.cleaned_data
        return SetPoint(filled["is_on"], filled["percent"] / 100, Urgency(filled["least_urgency"]))
