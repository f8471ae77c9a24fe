"""What people fill in about time they worked; days and times of day are the plant's own."""

import uuid
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from plant.days import check_day
from plant.models import User
from workorders.models import Crew, WorkOrder, WorkStep
from workorders.models.time_booking import MOST_HOURS
from workorders.services.booking_time import Spent, Worker

# Of one form: more than any crew has at one place.
_MOST_PEOPLE = 20


class FigureField(forms.DecimalField):
    """With a decimal point or a comma."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def to_python(self, value: Any) -> Any:
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)


class SpentForm(forms.Form):
    """How long, on which day; as hours or from when to when."""

    day = forms.DateField(
        label=_("day"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        validators=[check_day],
    )
    hours = FigureField(
        label=_("hours"),
        required=False,
        min_value=0,
        max_value=MOST_HOURS,
        max_digits=4,
        decimal_places=2,
        help_text=_("Of each person, such as 1.5; or say from when to when."),
    )
    begins = forms.TimeField(
        label=_("from"), required=False, widget=forms.TimeInput(attrs={"type": "time"})
    )
    ends = forms.TimeField(
        label=_("to"),
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}),
        help_text=_("Before the other: it ended on the next day."),
    )
    step = forms.ModelChoiceField(
        label=_("on which step"),
        queryset=WorkStep.objects.none(),
        required=False,
        empty_label=_("the work as a whole"),
    )
    crew = forms.ModelChoiceField(
        label=_("crew"), queryset=Crew.objects.none(), required=False, empty_label=_("none")
    )
    note = forms.CharField(label=_("note"), required=False, max_length=400)

    def __init__(self, *args: Any, order: WorkOrder, crew: Crew | None = None, **kw: Any) -> None:
        super().__init__(*args, **kw)
        crews = Crew.objects.filter(plant=order.conveyor.plant_id)
        standing = crews.filter(retired_on__isnull=True)
        self._offer("step", order.steps.all())
        self._offer("crew", standing | crews.filter(pk=crew.pk) if crew else standing)

    def _offer(self, name: str, rows: QuerySet[Any]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = rows

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        begins, ends, hours = (filled.get(name) for name in ("begins", "ends", "hours"))
        if (begins is None) != (ends is None) and not {"begins", "ends"} & set(self.errors):
            missing = "begins" if begins is None else "ends"
            self.add_error(missing, _("Give both times, or the hours alone."))
        elif begins is not None and hours is not None:
            self.add_error("hours", _("Give hours, or from when to when, not both."))
        elif hours is None and begins is None and not self.errors:
            self.add_error("hours", _("Say how many hours, or from when to when."))
        return filled

    def spent(self) -> Spent:
        names = ("day", "hours", "begins", "ends", "crew", "step", "note")
        return Spent(**{name: self.cleaned_data[name] for name in names})


class BookForm(SpentForm):
    """New time, for one person or several who worked alike."""

    workers = forms.ModelMultipleChoiceField(
        label=_("who worked"),
        queryset=User.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    names = forms.CharField(
        label=_("others, by name"),
        required=False,
        max_length=400,
        help_text=_("Who has no account here; several with commas between them."),
    )
    sent_as = forms.UUIDField(required=False, widget=forms.HiddenInput, initial=uuid.uuid4)
    field_order = ("workers", "names", "day", "hours", "begins", "ends", "step", "crew", "note")

    def __init__(self, *args: Any, people: QuerySet[User], **kw: Any) -> None:
        super().__init__(*args, **kw)
        self._offer("workers", people)

    def clean(self) -> dict[str, Any]:
        filled = super().clean()
        how_many = len(self.who())
        if not how_many and "workers" not in self.errors:
            self.add_error("workers", _("Say who worked."))
        if how_many > _MOST_PEOPLE:
            self.add_error("workers", _("At most 20 people at once, and the others after them."))
        return filled

    def who(self) -> list[Worker]:
        names = self.cleaned_data.get("names", "").split(",")
        return [
            *(Worker(user=one) for one in self.cleaned_data.get("workers") or ()),
            *(Worker(name=" ".join(name.split())) for name in names if name.strip()),
        ]

    def sent(self) -> uuid.UUID:
        return self.cleaned_data.get("sent_as") or uuid.uuid4()


class CorrectForm(SpentForm):
    worker = forms.ModelChoiceField(
        label=_("who worked"),
        queryset=User.objects.none(),
        required=False,
        empty_label=_("somebody without an account"),
    )
    worker_name = forms.CharField(
        label=_("their name"),
        required=False,
        max_length=150,
        help_text=_("Only of somebody without an account."),
    )
    field_order = ("worker", "worker_name", "day", "hours", "begins", "ends", "step", "crew")

    def __init__(self, *args: Any, people: QuerySet[User], **kw: Any) -> None:
        super().__init__(*args, **kw)
        self._offer("worker", people)

    def who(self) -> Worker:
        user = self.cleaned_data["worker"]
        return Worker(user, "" if user else self.cleaned_data["worker_name"])
