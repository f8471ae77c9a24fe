"""What people fill in about shifts; times are typed and shown in the plant's zone."""

import uuid
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from plant.days import check_day
from plant.models import Conveyor
from workorders import shift_words
from workorders.selectors.shifts import ShiftRow
from workorders.services.recording_shifts import ShiftTold
from workorders.shift_choices import MOVED_CHOICES, WAY_CHOICES
from workorders.shift_ways import MOST_MM, End, Moved, Way, is_unlikely, ways_fit

BY_ORDER, ON_THE_SPOT = "order", "spot"


class ShiftForm(forms.Form):
    stations = forms.CharField(
        label=_("where"),
        max_length=400,
        help_text=_("A set or pulley by its name, or several: C9-C12, C15."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    moved = forms.ChoiceField(label=_("what was moved"), choices=MOVED_CHOICES)
    end = forms.ChoiceField(
        label=_("which end"),
        widget=forms.RadioSelect,
        help_text=_("Left and right as seen looking toward the head, on both runs."),
    )
    moved_mm = forms.FloatField(
        label=_("how far, each [mm]"), min_value=0.1, max_value=MOST_MM, widget=forms.NumberInput(
            attrs={"step": "0.5", "inputmode": "decimal"}
        )
    )  # fmt: skip
    way = forms.ChoiceField(
        label=_("which way"),
        choices=WAY_CHOICES,
        widget=forms.RadioSelect,
        help_text=_("Belt travel is toward the head on the carrying run, toward the tail below."),
    )
    made_at = forms.DateTimeField(
        label=_("when"),
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        validators=[check_day],
    )
    made_by = forms.CharField(label=_("who shifted it"), max_length=80, required=False)
    note = forms.CharField(label=_("note"), max_length=200, required=False)
    is_sure = forms.BooleanField(
        label=_("It is right: that far."), required=False, widget=forms.HiddenInput
    )
    together = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, conveyor: Conveyor, **kwargs: Any) -> None:
        kwargs["initial"] = {"together": uuid.uuid4(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        field = self.fields["end"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(end.value, shift_words.end_words(end, conveyor)) for end in End]

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        end, way = filled.get("end"), filled.get("way")
        if end and way and not ways_fit(End(end), Way(way)):
            self.add_error(
                "way",
                _("One end goes in or out; both ends together go to the left or to the right."),
            )
        moved, mm = filled.get("moved"), filled.get("moved_mm")
        if moved and mm and is_unlikely(Moved(moved), mm):
            # Asked only of who needs it.
            self.fields["is_sure"].widget = forms.CheckboxInput()
            if not filled.get("is_sure"):
                self.add_error(
                    "moved_mm", _("That is far for this. Measure it again, or tick below.")
                )
        return filled

    def told(self) -> ShiftTold:
        filled = self.cleaned_data
        return ShiftTold(
            stations=filled["stations"],
            moved=Moved(filled["moved"]),
            end=End(filled["end"]),
            way=Way(filled["way"]),
            moved_mm=filled["moved_mm"],
            made_at=filled["made_at"],
            together=filled["together"],
            made_by=filled["made_by"],
            note=filled["note"],
            is_sure=filled["is_sure"],
        )


class UndoForm(forms.Form):
    """Which standing shifts are brought back, and whether that is still to be done."""

    shifts = forms.TypedMultipleChoiceField(
        label=_("shifts that stand, the last one first"),
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Choose at least one shift.")},
    )
    how = forms.ChoiceField(label=_("how"), widget=forms.RadioSelect, initial=BY_ORDER)

    def __init__(
        self, *args: Any, standing: list[ShiftRow], ways: list[tuple[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        shifts, how = self.fields["shifts"], self.fields["how"]
        assert isinstance(shifts, forms.TypedMultipleChoiceField)
        assert isinstance(how, forms.ChoiceField)
        shifts.choices = [(one.row.pk, f"{one.thing}: {one.how}") for one in standing]
        how.choices = ways


class ShiftFilter(forms.Form):
    station = forms.CharField(label=_("station"), required=False, max_length=60)
    all = forms.BooleanField(label=_("also undone and taken back"), required=False)
