"""What people fill in to send a calendar and to take it in."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from plant.models import Plant
from workorders.outage_forms import BeltsField
from workorders.planning.outages.calendar_file.lines import LARGEST_BYTES


class CalendarFileForm(forms.Form):
    file = forms.FileField(
        label=_("calendar"),
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ".ics,text/calendar"}),
        help_text=_("An iCalendar file (.ics, RFC 5545), up to 2 MB."),
    )
    calendar_name = forms.CharField(
        label=_("which calendar it is"),
        max_length=120,
        required=False,
        help_text=_(
            "The same name again: windows that a later file no longer has are called off. Empty: "
            "as the calendar calls itself."
        ),
    )
    conveyors = BeltsField(
        label=_("conveyors of events that name none"),
        required=False,
        help_text=_("Tags in an event's name, place or categories count before this."),
    )

    def __init__(self, *args: Any, plant: Plant, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["conveyors"]
        assert isinstance(field, BeltsField)
        field.of(plant)

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > LARGEST_BYTES:
            raise forms.ValidationError(
                _("The file is larger than %(most)d MB."),
                params={"most": LARGEST_BYTES // 1_000_000},
            )
        return file


class TakeInForm(forms.Form):
    mark = forms.CharField(max_length=64, widget=forms.HiddenInput)
    leaves_refused = forms.BooleanField(
        label=_("leave out the events that cannot be read"), required=False
    )

    def __init__(self, *args: Any, has_refused: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not has_refused:
            del self.fields["leaves_refused"]
