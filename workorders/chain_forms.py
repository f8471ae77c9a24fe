"""What people fill in about orders that belong together."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from workorders.forms import VersionForm
from workorders.models import WorkOrder


class OrderChoice(forms.ModelChoiceField):
    def label_from_instance(self, obj: WorkOrder) -> str:
        return f"{obj} ({obj.get_state_display()})"


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
