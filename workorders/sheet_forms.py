"""What the outage sheet is asked, and what people fill in to give an order its place."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django import forms
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from plant.days import check_day
from plant.models import Plant
from workorders.models import Crew, OutageWindow, WorkOrder
from workorders.order_words import URGENCY_WORDS
from workorders.planning.outages.minutes import instant_of
from workorders.selectors.outage_plan import minutes_wanted
from workorders.services.placing import Place

_URGENCIES = [(urgency.value, words) for urgency, words in URGENCY_WORDS.items()]
_TWO_WEEKS = 14
_LENGTHS = [("", _("two weeks")), ("7", _("one week")), ("28", _("four weeks"))]
# Instants that a calendar holds, with room for every zone: 1970 to 2199. [min since 1970 UTC]
_LAST_MINUTE = 120_000_000


def _time_field(**options: Any) -> forms.DateTimeField:
    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    return forms.DateTimeField(widget=widget, validators=[check_day], **options)


@dataclass(frozen=True)
class Asked:
    """Which stretch, and which of the orders that wait for a place."""

    first_day: date
    days: int = _TWO_WEEKS
    belt: str = ""
    urgency: str = ""


class SheetForm(forms.Form):
    """The stretch and the filters of the tray, all in the address."""

    plant = forms.ChoiceField(label=_("plant"), required=False)
    # A form's field may be called as the word it stands for in the address.
    first = forms.DateField(
        label=_("from"),
        required=False,
        validators=[check_day],
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    days = forms.ChoiceField(label=_("how long"), required=False, choices=_LENGTHS)
    belt = forms.CharField(label=_("orders of conveyor"), required=False, max_length=40)
    urgency = forms.ChoiceField(
        label=_("their urgency"), required=False, choices=[("", _("any")), *_URGENCIES]
    )

    def __init__(self, *args: Any, plants: list[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        plant_field = self.fields["plant"]
        assert isinstance(plant_field, forms.ChoiceField)
        plant_field.choices = [(plant.code, plant.name) for plant in plants]
        if len(plants) < 2:
            del self.fields["plant"]

    def asked(self, today: date) -> Asked:
        """What was filled in rightly; what was not is said beside its field."""
        filled = self.cleaned_data
        return Asked(
            first_day=filled.get("first") or today,
            days=int(filled.get("days") or _TWO_WEEKS),
            belt=filled.get("belt", "").strip(),
            urgency=filled.get("urgency", ""),
        )


class _WindowField(forms.ModelChoiceField):
    """Told with its time, in the zone that is in force."""

    def label_from_instance(self, obj: OutageWindow) -> str:
        begins, ends = timezone.localtime(obj.starts_at), timezone.localtime(obj.ends_at)
        return f"{obj.name}, {begins:%Y-%m-%d %H:%M}–{ends:%H:%M}"


class _PlaceForm(forms.Form):
    version = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    window = _WindowField(
        label=_("outage"),
        queryset=OutageWindow.objects.none(),
        required=False,
        empty_label=_("none: the belt may run"),
    )
    crew = forms.ModelChoiceField(label=_("crew"), queryset=Crew.objects.none())
    all_the_same = forms.BooleanField(
        label=_("Put it there all the same"), required=False, widget=forms.HiddenInput
    )

    def __init__(self, *args: Any, order: WorkOrder, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order = order
        plant = order.conveyor.plant
        for name, rows in (
            ("window", OutageWindow.objects.standing().filter(plant=plant)),
            ("crew", Crew.objects.filter(plant=plant, retired_on__isnull=True)),
        ):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = rows

    def place(self) -> Place:
        filled = self.cleaned_data
        return Place(filled["crew"], filled["window"], filled["starts_at"], filled["ends_at"])


class PlaceForm(_PlaceForm):
    """Typed; times in the plant's own zone, which is in force when the form is made."""

    starts_at = _time_field(label=_("begins"))
    ends_at = _time_field(
        label=_("ends"), required=False, help_text=_("Left empty: as long as the order takes.")
    )

    field_order = ("window", "crew", "starts_at", "ends_at", "version", "all_the_same")

    def __init__(self, *args: Any, order: WorkOrder, now: datetime, **kwargs: Any) -> None:
        super().__init__(*args, order=order, **kwargs)
        window = self.fields["window"]
        assert isinstance(window, forms.ModelChoiceField)
        # Choosing among all windows of the plant would be a long list: those of its belt.
        of_belt = Q(conveyors=order.conveyor, ends_at__gt=now)
        window.queryset = (
            (window.queryset or OutageWindow.objects.none())
            .filter(of_belt | Q(pk=order.window_id))
            .distinct()
        )

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        if filled.get("starts_at") and not filled.get("ends_at") and "ends_at" not in self.errors:
            length = timedelta(minutes=minutes_wanted(self.order))
            filled["ends_at"] = filled["starts_at"] + length
        return filled


class DrawnPlaceForm(_PlaceForm):
    """As the sheet's own script sends it; minutes since 1970-01-01 UTC."""

    starts = forms.IntegerField(min_value=0, max_value=_LAST_MINUTE)
    ends = forms.IntegerField(min_value=0, max_value=_LAST_MINUTE)

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        for name, minutes in (("starts_at", "starts"), ("ends_at", "ends")):
            if filled.get(minutes) is not None:
                filled[name] = instant_of(filled[minutes])
        return filled
