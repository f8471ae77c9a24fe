"""What people fill in about orders that belong together."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from workorders.forms import VersionForm
from workorders.models import OrderPart, WorkOrder
from workorders.part_words import amount_words
from workorders.services.order_lines import still_wanted
from workorders.services.splitting import Rest
from workorders.time_forms import FigureField


def _label(order: WorkOrder) -> str:
    return f"{order} ({order.get_state_display()})"


class OrderChoice(forms.ModelChoiceField):
    def label_from_instance(self, obj: WorkOrder) -> str:
        return _label(obj)


class OrdersChoice(forms.ModelMultipleChoiceField):
    def label_from_instance(self, obj: WorkOrder) -> str:
        return _label(obj)


class LinkForm(VersionForm):
    """Another order: chosen among those of the same conveyor, or named by its number."""

    after = OrderChoice(
        label=_("an order of this conveyor"),
        queryset=WorkOrder.objects.none(),
        required=False,
        empty_label=_("choose one"),
    )
    number = forms.CharField(label=_("or the number of another one"), required=False, max_length=24)

    def __init__(
        self, *args: Any, order: WorkOrder, linkable: QuerySet[WorkOrder], **kw: Any
    ) -> None:
        super().__init__(*args, **kw)
        self._linkable = linkable
        field = self.fields["after"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = linkable.filter(conveyor=order.conveyor_id).order_by("number")

    def clean_number(self) -> str:
        return self.cleaned_data["number"].strip().upper()

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        number, chosen = filled.get("number", ""), filled.get("after")
        if chosen is None and not number and not self.errors:
            self.add_error("after", _("Choose the order it waits for, or give its number."))
        if number and chosen is None:
            filled["after"] = self._linkable.filter(number=number).first()
            if filled["after"] is None:
                self.add_error("number", _("No open order of this plant has that number."))
        elif number and chosen is not None and chosen.number != number:
            self.add_error("number", _("Choose one or give a number, not both."))
        return filled


class SplitForm(VersionForm):
    """What goes into an order of its own; one field for each part that is still wanted."""

    places = forms.TypedMultipleChoiceField(
        label=_("steps that go"),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    title = forms.CharField(label=_("what the new order is for"), max_length=200)
    hours = FigureField(
        label=_("hours of the new order"),
        required=False,
        min_value=0,
        max_digits=6,
        decimal_places=2,
        help_text=_("Left empty: what its steps take together."),
    )
    follows = forms.BooleanField(
        label=_("it begins after this one is done"), required=False, initial=False
    )

    def __init__(self, *args: Any, order: WorkOrder, **kw: Any) -> None:
        super().__init__(*args, **kw)
        steps = [(step.place, str(step)) for step in order.steps.filter(done_at__isnull=True)]
        places = self.fields["places"]
        assert isinstance(places, forms.TypedMultipleChoiceField)
        places.choices = steps
        if not steps:
            del self.fields["places"]
        self._lines = [
            line for line in order.order_parts.select_related("part") if still_wanted(line)
        ]
        for line in self._lines:
            self.fields[f"part_{line.pk}"] = _amount_field(line)

    def rest(self) -> Rest:
        filled = self.cleaned_data
        amounts = {line.pk: filled.get(f"part_{line.pk}") or Decimal(0) for line in self._lines}
        return Rest(
            title=filled["title"],
            places=frozenset(filled.get("places", ())),
            hours=filled["hours"],
            amounts=amounts,
            follows=filled["follows"],
        )


def _amount_field(line: OrderPart) -> forms.Field:
    free = still_wanted(line)
    return FigureField(
        label=_("how many of %(part)s go") % {"part": line.part},
        required=False,
        min_value=0,
        max_value=free,
        max_digits=10,
        decimal_places=2,
        help_text=_("%(amount)s are reserved here.") % {"amount": amount_words(free, line.part)},
    )


class MergeForm(forms.Form):
    """Which other orders become one with this one, as the person saw them."""

    others = OrdersChoice(
        label=_("orders that become one with it"),
        queryset=WorkOrder.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Choose at least one other order.")},
    )
    # Versions by key: 12:3,15:1.
    seen = forms.RegexField(
        regex=r"\A(\d{1,18}:\d{1,9}(,|\Z))*\Z", required=False, widget=forms.HiddenInput
    )

    def __init__(self, *args: Any, mergeable: QuerySet[WorkOrder], **kw: Any) -> None:
        super().__init__(*args, **kw)
        field = self.fields["others"]
        assert isinstance(field, forms.ModelMultipleChoiceField)
        field.queryset = mergeable

    def versions(self) -> dict[int, int]:
        pairs = (one.split(":") for one in self.cleaned_data["seen"].split(",") if one)
        return {int(key): int(version) for key, version in pairs}


def seen_words(orders: Iterable[WorkOrder]) -> str:
    return ",".join(f"{one.pk}:{one.version}" for one in orders)
