"""Which labels to print, and how the sheet is divided; all of it stands in the address."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext_lazy as _

from plant.labels import layout as sheet
from plant.labels.layout import SheetLayout
from plant.loop.idler_sets import IdlerSet
from plant.loop.set_choice import MOST_LETTERS, CannotChoose, choose_sets
from plant.loop.vocabulary import ComponentKind
from plant.roll_words import refused_choice
from plant.selectors.labels import Opens
from plant.words import KIND_WORDS

_USUAL = SheetLayout()


class LabelForm(forms.Form):
    """Filled from the address; an empty one asks for what is usual."""

    opens = forms.ChoiceField(
        label=_("the code opens"),
        choices=[
            (Opens.PAGE.value, _("its page")),
            (Opens.COMPLAINT.value, _("a new complaint for it")),
        ],
        widget=forms.RadioSelect,
        initial=Opens.PAGE.value,
    )
    across = forms.IntegerField(
        label=_("labels across"),
        min_value=1,
        max_value=sheet.MOST_ACROSS,
        initial=_USUAL.across,
        help_text=_("On a sheet of A4, upright."),
    )
    down = forms.IntegerField(
        label=_("labels down"), min_value=1, max_value=sheet.MOST_DOWN, initial=_USUAL.down
    )
    margin_mm = forms.FloatField(
        label=_("margin [mm]"),
        min_value=0,
        max_value=sheet.LARGEST_MARGIN_MM,
        initial=_USUAL.margin_mm,
    )
    gap_mm = forms.FloatField(
        label=_("between labels [mm]"),
        min_value=0,
        max_value=sheet.LARGEST_GAP_MM,
        initial=_USUAL.gap_mm,
    )
    skip = forms.IntegerField(
        label=_("places used up"),
        min_value=0,
        max_value=sheet.MOST_ACROSS * sheet.MOST_DOWN,
        initial=0,
        help_text=_("Labels that are gone from the first sheet already."),
    )
    outlines = forms.BooleanField(label=_("lines to cut along"), required=False, initial=True)

    def __init__(self, asked: QueryDict) -> None:
        super().__init__(asked)
        for field in self.fields.values():
            if isinstance(field, forms.FloatField):
                field.widget.attrs["step"] = "any"

    def fill_in_the_usual(self) -> None:
        """A box that is not ticked does not stand in an address: only an empty one is usual."""
        if not self.data:
            usual = {name: field.initial for name, field in self.fields.items()}
            self.data = MultiValueDict(
                {
                    name: value if isinstance(value, list) else [value]
                    for name, value in usual.items()
                    if value not in (None, "")
                }
            )

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or self.cleaned_data
        if self.errors:
            return filled
        layout = self.layout()
        if not layout.is_readable:
            self.add_error(
                "across",
                _("A label would be %(width).0f by %(height).0f mm; the code needs %(least).0f mm. "
                  "Put fewer on a sheet.")
                % {
                    "width": layout.label_width_mm,
                    "height": layout.label_height_mm,
                    "least": sheet.SMALLEST_CODE_MM,
                },
            )  # fmt: skip
        elif layout.skip >= layout.places:
            self.add_error(
                "skip", _("A sheet has only %(places)d places.") % {"places": layout.places}
            )
        return filled

    def layout(self) -> SheetLayout:
        names = ("across", "down", "margin_mm", "gap_mm", "skip")
        return SheetLayout(**{name: self.cleaned_data[name] for name in names})

    def opens_what(self) -> Opens:
        return Opens(self.cleaned_data["opens"])


class ConveyorLabelForm(LabelForm):
    itself = forms.BooleanField(label=_("one for the conveyor"), required=False, initial=True)
    kinds = forms.MultipleChoiceField(
        label=_("one for each of its"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("A group of idlers gets one label."),
    )
    sets = forms.CharField(
        label=_("one for each of these idler sets"),
        required=False,
        max_length=MOST_LETTERS,
        help_text=_("Such as C1-C20, R5: each opens the page of its set."),
    )
    field_order = ["opens", "itself", "kinds", "sets"]

    def __init__(self, asked: QueryDict, *, kinds: list[str], sets: Sequence[IdlerSet]) -> None:
        super().__init__(asked)
        self._sets = sets
        self.chosen: list[IdlerSet] = []
        field = self.fields["kinds"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(kind, KIND_WORDS[ComponentKind(kind)]) for kind in kinds]
        field.initial = kinds
        self.fill_in_the_usual()

    def clean_sets(self) -> str:
        typed: str = self.cleaned_data["sets"]
        if typed.strip():
            try:
                self.chosen = choose_sets(typed, self._sets)
            except CannotChoose as refusal:
                raise forms.ValidationError(refused_choice(refusal)) from refusal
        return typed


class PlantLabelForm(LabelForm):
    area = forms.ChoiceField(label=_("conveyors of"), required=False)
    field_order = ["opens", "area"]

    def __init__(self, asked: QueryDict, *, areas: list[str]) -> None:
        super().__init__(asked)
        field = self.fields["area"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", _("all areas")), *((area, area) for area in areas)]
        self.fill_in_the_usual()
