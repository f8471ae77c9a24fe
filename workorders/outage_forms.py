"""What people fill in about outage windows and series; times are typed in the plant's zone."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from plant.days import check_day
from plant.models import Conveyor, Plant
from workorders.planning.outages.repeat_rules import (
    Frequency,
    NthDay,
    Repeat,
    RuleRefused,
    read_rule,
    rule_text,
)
from workorders.repeat_words import NTH_WORDS, fault_words
from workorders.selectors.outages.windows import When, WindowsWanted
from workorders.services.outages.series import SeriesWanted
from workorders.services.outages.windows import WindowWanted

_DAYS = [(str(number), words) for number, words in WEEKDAYS.items()]
_NTHS = [(str(number), words) for number, words in NTH_WORDS.items() if number != -2]
_LONGEST_H = 92 * 24


def time_field(**options: Any) -> forms.DateTimeField:
    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    return forms.DateTimeField(widget=widget, validators=[check_day], **options)


def day_field(**options: Any) -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(widget=widget, validators=[check_day], **options)


class BeltsField(forms.ModelMultipleChoiceField):
    """Conveyors of one plant by tag and name; `of` says which."""

    def __init__(self, **options: Any) -> None:
        widget = forms.CheckboxSelectMultiple(attrs={"class": "belt-choice"})
        super().__init__(queryset=Conveyor.objects.none(), widget=widget, **options)

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.tag} {obj.name}"

    def of(self, plant: Plant, also: Iterable[Conveyor] = ()) -> None:
        """`also`: one that was retired since stays where it stands already."""
        rows = Conveyor.objects.filter(plant=plant)
        kept = rows.filter(pk__in=[one.pk for one in also])
        self.queryset = (rows.in_service() | kept).order_by("tag")


class _OfConveyors(forms.Form):
    name = forms.CharField(
        label=gettext_lazy("name"),
        max_length=120,
        help_text=gettext_lazy("As people call it: “quay maintenance day”."),
    )
    conveyors = BeltsField(
        label=gettext_lazy("conveyors that stand still"),
        error_messages={"required": gettext_lazy("Choose at least one conveyor.")},
    )

    def __init__(self, *args: Any, plant: Plant, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["conveyors"]
        assert isinstance(field, BeltsField)
        field.of(plant, self.initial.get("conveyors", ()))


class WindowForm(_OfConveyors):
    starts_at = time_field(label=gettext_lazy("from"))
    ends_at = time_field(label=gettext_lazy("until"))
    field_order = ("starts_at", "ends_at", "name", "conveyors")

    def wanted(self) -> WindowWanted:
        filled = self.cleaned_data
        return WindowWanted(
            filled["name"], list(filled["conveyors"]), filled["starts_at"], filled["ends_at"]
        )


class CallOffForm(forms.Form):
    why = forms.CharField(
        label=gettext_lazy("why"),
        max_length=200,
        help_text=gettext_lazy("Whoever planned with it will ask."),
    )


class SeriesForm(_OfConveyors):
    WEEKS, MONTHS, RULE = "weeks", "months", "rule"
    first_starts_at = time_field(label=gettext_lazy("the first begins"))
    hours = forms.DecimalField(
        label=gettext_lazy("lasts [h]"),
        min_value=Decimal("0.25"),
        max_value=_LONGEST_H,
        decimal_places=2,
        help_text=gettext_lazy("By the clock on the wall, also when the clocks change."),
    )
    comes_back = forms.ChoiceField(
        label=gettext_lazy("comes back"),
        choices=[
            (WEEKS, gettext_lazy("on days of the week")),
            (MONTHS, gettext_lazy("on a day of the month, such as the second Tuesday")),
            (RULE, gettext_lazy("by a rule I write")),
        ],
        widget=forms.RadioSelect,
        initial=WEEKS,
    )
    every = forms.IntegerField(
        label=gettext_lazy("every how many weeks or months"), min_value=1, max_value=52, initial=1
    )
    weekdays = forms.TypedMultipleChoiceField(
        label=gettext_lazy("on which days of the week"),
        choices=_DAYS,
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy("None: the day on which the first begins."),
    )
    nth = forms.TypedChoiceField(
        label=gettext_lazy("or on which in the month"), choices=_NTHS, coerce=int, required=False
    )
    nth_day = forms.TypedChoiceField(
        label=gettext_lazy("which day"), choices=_DAYS, coerce=int, required=False
    )
    rule = forms.CharField(
        label=gettext_lazy("or by which rule"),
        max_length=200,
        required=False,
        help_text=gettext_lazy(
            "As calendars write it (RFC 5545): FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-1"
        ),
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )
    field_order = (
        "first_starts_at",
        "hours",
        "name",
        "comes_back",
        "every",
        "weekdays",
        "nth",
        "nth_day",
        "rule",
        "conveyors",
    )

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        if filled.get("comes_back") == self.RULE:
            try:
                filled["rule"] = rule_text(read_rule(filled.get("rule", "")))
            except RuleRefused as refused:
                self.add_error("rule", fault_words(refused))
        elif filled.get("comes_back") == self.MONTHS and filled.get("nth") in ("", None):
            self.add_error("nth", _("Say which in the month."))
        return filled

    def wanted(self) -> SeriesWanted:
        filled = self.cleaned_data
        return SeriesWanted(
            name=filled["name"],
            conveyors=list(filled["conveyors"]),
            first_starts_at=filled["first_starts_at"],
            minutes=int(filled["hours"] * 60),
            rule=self._rule(),
        )

    def _rule(self) -> str:
        filled = self.cleaned_data
        if filled["comes_back"] == self.RULE:
            return str(filled["rule"])
        if filled["comes_back"] == self.MONTHS:
            day = NthDay(filled["nth_day"], filled["nth"])
            return rule_text(Repeat(Frequency.MONTHLY, interval=filled["every"], days=(day,)))
        days = tuple(NthDay(one) for one in sorted(filled["weekdays"]))
        return rule_text(Repeat(Frequency.WEEKLY, interval=filled["every"], days=days))


class EndSeriesForm(forms.Form):
    last_on = day_field(
        label=gettext_lazy("the last day on which a window may begin"),
        help_text=gettext_lazy("Windows after it are called off."),
    )
    with_orders = forms.ChoiceField(
        label=gettext_lazy("windows after it in which work is placed"),
        choices=[
            ("stay", gettext_lazy("stay: the work is done there")),
            (
                "go",
                gettext_lazy("are called off too: the work keeps its place, marked, until moved"),
            ),
        ],
        widget=forms.RadioSelect,
        initial="stay",
    )


class WindowFilterForm(forms.Form):
    when = forms.ChoiceField(
        label=gettext_lazy("which"),
        required=False,
        choices=[
            (When.COMING.value, gettext_lazy("coming")),
            (When.PAST.value, gettext_lazy("past")),
            (When.CALLED_OFF.value, gettext_lazy("called off")),
        ],
    )
    conveyor = forms.ChoiceField(label=gettext_lazy("conveyor"), required=False)

    def __init__(self, *args: Any, plant: Plant, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["conveyor"]
        assert isinstance(field, forms.ChoiceField)
        tags = Conveyor.objects.filter(plant=plant).order_by("tag").values_list("tag", "name")
        field.choices = [("", _("all")), *((tag, f"{tag} {name}") for tag, name in tags)]

    def wanted(self) -> WindowsWanted:
        """What was understood; what was not narrows nothing."""
        self.is_valid()
        filled = self.cleaned_data
        return WindowsWanted(
            When(filled.get("when") or When.COMING), tag=filled.get("conveyor") or ""
        )
