"""What people fill in when they have read a meter; times are in the plant's zone."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from plant import meter_words
from plant.days import check_day
from plant.metering.readings import MeterQuantity, WentOn, lacks
from plant.models import MeterReading
from plant.register_forms import RegisterForm
from plant.services.reading_meters import NewReading

_TIME = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")


class MeterReadingForm(RegisterForm):
    read_at = forms.DateTimeField(
        label=_("read"),
        widget=_TIME,
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
        validators=[check_day],
        help_text=_("In the plant's time."),
    )
    went_on = forms.ChoiceField(
        label=_("how the meter went on"),
        choices=MeterReading._meta.get_field("went_on").flatchoices,
        initial=WentOn.USUAL.value,
        widget=forms.RadioSelect,
        help_text=_("Since the reading before."),
    )

    class Meta:
        model = MeterReading
        fields = [
            "quantity",
            "read_at",
            "reading",
            "read_by",
            "went_on",
            "digits",
            "new_meter_first",
            "note",
        ]
        help_texts = {
            "reading": _("Hours or tonnes, as the meter shows them; of a replaced one its last."),
            "digits": _("Only if it rolled over: 5 for one that goes from 99999 to 00000."),
            "new_meter_first": _("Only if it was replaced: what the new one showed then."),
        }

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or self.cleaned_data
        if self.errors:
            return filled
        found = lacks(
            WentOn(filled["went_on"]),
            has_figure=filled["reading"] is not None,
            has_digits=filled["digits"] is not None,
            has_new_first=filled["new_meter_first"] is not None,
        )
        for lack in found:
            field, words = meter_words.LACK_WORDS[lack]
            self.add_error(field, str(words))
        return filled

    def new_reading(self) -> NewReading:
        filled = {name: self.cleaned_data[name] for name in self.Meta.fields}
        return NewReading(
            **{
                **filled,
                "quantity": MeterQuantity(filled["quantity"]),
                "went_on": WentOn(filled["went_on"]),
            }
        )
