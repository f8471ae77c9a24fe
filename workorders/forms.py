"""What people fill in about work; times are typed and shown in the plant's zone."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.selectors import shelf
from plant.days import check_day
from plant.models import Conveyor, Plant
from workorders.models import WorkOrder
from workorders.order_states import OrderState, Waiting, needs_why
from workorders.order_words import STATE_WORDS, URGENCY_WORDS, WAITING_WORDS
from workorders.selectors import backlog
from workorders.urgency import Urgency

_WHY_LENGTH = 400
_MOST_STEPS = 100
_STATES = [(state.value, words) for state, words in STATE_WORDS.items()]
_URGENCIES = [(urgency.value, words) for urgency, words in URGENCY_WORDS.items()]


def _time_field(**options: Any) -> forms.DateTimeField:
    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    return forms.DateTimeField(widget=widget, validators=[check_day], **options)


def _date_field(**options: Any) -> forms.DateField:
    return forms.DateField(
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        validators=[check_day],
        **options,
    )


def _lines(text: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in text.splitlines() if line.strip())


class _VersionedForm(forms.Form):
    """Carries the version the person was looking at, so that nobody overwrites unseen changes."""

    version = forms.IntegerField(min_value=1, widget=forms.HiddenInput)


class MoveForm(_VersionedForm):
    to_state = forms.ChoiceField(choices=_STATES, widget=forms.HiddenInput)
    planned_for = _time_field(label=_("for when"), required=False)
    why = forms.CharField(
        label=_("why"),
        required=False,
        max_length=_WHY_LENGTH,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def fit_to(self, old: OrderState, new: OrderState) -> None:
        """Leave out what this move does not ask; must be done before the form is bound or shown."""
        if new is not OrderState.SCHEDULED:
            del self.fields["planned_for"]
        if needs_why(old, new):
            self.fields["why"].required = True
        else:
            self.fields["why"].help_text = _("If there is something to say.")


class WaitingForm(_VersionedForm):
    waiting_for = forms.ChoiceField(
        label=_("waits for"), choices=[(one.value, words) for one, words in WAITING_WORDS.items()]
    )
    why = forms.CharField(label=_("what exactly, until when"), max_length=_WHY_LENGTH)

    def waiting(self) -> Waiting:
        return Waiting(self.cleaned_data["waiting_for"])


class VersionForm(_VersionedForm):
    """Nothing but the version: for a button that needs no words."""


class UrgencyForm(_VersionedForm):
    urgency = forms.ChoiceField(label=_("urgency"), choices=_URGENCIES)
    why = forms.CharField(label=_("why"), max_length=_WHY_LENGTH)


class PlannedForForm(_VersionedForm):
    planned_for = _time_field(label=_("for when"))
    why = forms.CharField(label=_("why it moves"), max_length=_WHY_LENGTH)


class NoteForm(forms.Form):
    words = forms.CharField(
        label=_("note"), max_length=2000, widget=forms.Textarea(attrs={"rows": 3})
    )


class OrderForm(forms.ModelForm):
    """Figures of an open order; lists are typed one entry a line."""

    version = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    due_on = _date_field(label=_("due"), required=False)
    tools = forms.CharField(
        label=_("tools, one a line"), required=False, widget=forms.Textarea(attrs={"rows": 4})
    )
    parts = forms.CharField(
        label=_("parts, one a line"), required=False, widget=forms.Textarea(attrs={"rows": 4})
    )

    class Meta:
        model = WorkOrder
        fields = ["title", "hours", "people", "due_on", "tools", "parts", "external_number"]

    def clean_tools(self) -> tuple[str, ...]:
        return _lines(self.cleaned_data["tools"])

    def clean_parts(self) -> tuple[str, ...]:
        return _lines(self.cleaned_data["parts"])


class NewOrderForm(forms.Form):
    conveyor = forms.ModelChoiceField(label=_("conveyor"), queryset=Conveyor.objects.none())
    title = forms.CharField(label=_("what is to be done"), max_length=200)
    component = forms.CharField(
        label=_("at which station"),
        required=False,
        max_length=48,
        help_text=_("A name from the register of this conveyor, such as HEAD."),
    )
    position_m = forms.FloatField(
        label=_("or at which loop position [m]"), required=False, min_value=0
    )
    work_method = forms.ChoiceField(
        label=_("work method"),
        required=False,
        help_text=_("Its steps, tools and cautions are copied into the order."),
    )
    steps = forms.CharField(
        label=_("own steps, one a line"),
        required=False,
        max_length=8000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    urgency = forms.ChoiceField(
        label=_("urgency"), required=False, choices=[("", _("as the site judges")), *_URGENCIES]
    )
    urgency_why = forms.CharField(
        label=_("why this urgency"), required=False, max_length=_WHY_LENGTH
    )
    due_on = _date_field(label=_("due"), required=False)

    def __init__(self, *args: Any, conveyors: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        conveyor_field = self.fields["conveyor"]
        assert isinstance(conveyor_field, forms.ModelChoiceField)
        conveyor_field.queryset = conveyors
        plants = conveyors.order_by("plant_id").values_list("plant_id", flat=True).distinct()
        names = {
            one.slug: one.name
            for plant_id in plants
            for one in shelf.shown_library_of(plant_id).work_methods.values()
        }
        method_field = self.fields["work_method"]
        assert isinstance(method_field, forms.ChoiceField)
        by_name = sorted(names.items(), key=lambda one: one[1])
        method_field.choices = [("", _("none")), *by_name]

    def clean(self) -> dict[str, Any] | None:
        filled = super().clean()
        conveyor, method = (self.cleaned_data.get(name) for name in ("conveyor", "work_method"))
        # Another plant of this person may have methods of its own.
        if conveyor and method:
            known = shelf.library_of(conveyor.plant_id).work_methods
            if method not in known:
                self.add_error("work_method", _("The plant of this conveyor has no such method."))
        return filled

    def clean_steps(self) -> tuple[str, ...]:
        steps = _lines(self.cleaned_data["steps"])
        if len(steps) > _MOST_STEPS:
            raise forms.ValidationError(
                _("At most %(most)d steps; make two orders of it."), params={"most": _MOST_STEPS}
            )
        return steps

    def clean_urgency(self) -> Urgency | None:
        chosen = self.cleaned_data["urgency"]
        return Urgency(chosen) if chosen else None


class OrderFilterForm(forms.Form):
    """The list's filters, all in the address."""

    state = forms.ChoiceField(
        label=_("state"),
        required=False,
        choices=[
            (backlog.OPEN, _("still to do")),
            (backlog.TO_PROVE, _("done, to be proved")),
            *_STATES,
            (backlog.ALL, _("all")),
        ],
    )
    urgency = forms.ChoiceField(
        label=_("urgency"), required=False, choices=[("", _("any")), *_URGENCIES]
    )
    plant = forms.ChoiceField(label=_("plant"), required=False)
    conveyor = forms.CharField(label=_("conveyor tag"), required=False, max_length=40)
    waiting = forms.BooleanField(label=_("waiting only"), required=False)

    def __init__(self, *args: Any, plants: list[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        plant_field = self.fields["plant"]
        assert isinstance(plant_field, forms.ChoiceField)
        plant_field.choices = [("", _("all")), *((plant.code, plant.name) for plant in plants)]
        if len(plants) < 2:
            del self.fields["plant"]

    def wanted(self) -> backlog.Wanted:
        """What was filled in rightly; a wrong filter lets everything through and is said."""
        filled = self.cleaned_data
        return backlog.Wanted(
            state=filled.get("state") or backlog.OPEN,
            urgency=filled.get("urgency", ""),
            plant=filled.get("plant", ""),
            tag=filled.get("conveyor", "").strip(),
            waiting="1" if filled.get("waiting") else "",
        )
