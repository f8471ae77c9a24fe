"""What people fill in about parts; amounts have at most two decimals."""

from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from plant.days import check_day
from plant.models import Conveyor, Plant
from plant.register_forms import DAY, NicknamesField
from workorders.models import Part, PartDue, PartUse
from workorders.models.part import LEAST_AMOUNT, MOST_AMOUNT
from workorders.selectors.part_figures import Narrowed, PartsWanted

_MOST_NAMES = 20
_WHY_LENGTH = 200
_LARGEST_FILE_BYTES = 5_000_000


def _amount_field(least: Decimal = LEAST_AMOUNT, **options: Any) -> forms.DecimalField:
    return forms.DecimalField(
        min_value=least,
        max_value=MOST_AMOUNT,
        max_digits=9,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
        **options,
    )


class PartForm(forms.ModelForm):
    known_as = NicknamesField(
        label=_("also written as"),
        required=False,
        help_text=_(
            "What people write for it when a roll is changed or a job is described, separated by "
            "commas: 159 mm 6306, carrying roll."
        ),
    )

    class Meta:
        model = Part
        fields = ["number", "name", "kind", "unit", "known_as", "kept_at", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 2})}
        help_texts = {"kept_at": _("Store, rack, shelf.")}

    def validate_constraints(self) -> None:
        """Left to the service, which answers with the field and holds against a race."""

    def clean_known_as(self) -> list[str]:
        names: list[str] = self.cleaned_data["known_as"]
        if len(names) > _MOST_NAMES:
            raise forms.ValidationError(_("At most %(most)d names."), params={"most": _MOST_NAMES})
        return names


class NewPartForm(PartForm):
    on_hand = _amount_field(Decimal(0), label=_("how many there are now"), initial=0)
    plant = forms.ModelChoiceField(label=_("plant"), queryset=Plant.objects.none())

    field_order = ["plant", "number", "name", "kind", "unit", "on_hand"]

    def __init__(self, *args: Any, plants: QuerySet[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["plant"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = plants
        if len(plants) == 1:
            field.initial = plants[0]


class CountForm(forms.Form):
    on_hand = _amount_field(Decimal(0), label=_("there are"))
    why = forms.CharField(
        label=_("why it differs"),
        required=False,
        max_length=_WHY_LENGTH,
        help_text=_("If you know: two were bent, one lay in another shed."),
    )

    def __init__(self, *args: Any, part: Part, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on_hand"].label = _in_unit(_("there are"), part)


class DueForm(forms.ModelForm):
    amount = _amount_field(label=_("how many"))
    due_on = forms.DateField(label=_("comes on"), widget=DAY, validators=[check_day])

    class Meta:
        model = PartDue
        fields = ["amount", "due_on", "note"]
        help_texts = {"note": _("From where, under which number, which pallet.")}

    def __init__(self, *args: Any, part: Part, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["amount"].label = _in_unit(_("how many"), part)


class AmountForm(forms.Form):
    """One amount, in the unit of a part."""

    amount = _amount_field()

    def __init__(
        self, *args: Any, part: Part, label: Any, can_be_nothing: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        if can_be_nothing:
            self.fields["amount"] = _amount_field(Decimal(0))
        self.fields["amount"].label = _in_unit(label, part)


class OrderPartForm(forms.Form):
    """Which part an order takes; `choices` are those that were found."""

    part = forms.TypedChoiceField(label=_("part"), coerce=int, widget=forms.RadioSelect)
    amount = _amount_field(label=_("how many, in the part's unit"))

    def __init__(self, *args: Any, choices: list[tuple[int, Any]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["part"]
        assert isinstance(field, forms.TypedChoiceField)
        field.choices = choices


class PartUseForm(forms.ModelForm):
    class Meta:
        model = PartUse
        fields = [
            "on",
            "by",
            "each",
            "belt_width_mm",
            "belt_strength_n_mm",
            "diameter_mm",
            "conveyor",
            "name",
        ]
        labels = {
            "belt_width_mm": _("only where the belt is so wide [mm]"),
            "belt_strength_n_mm": _("only where the belt is so strong [N/mm]"),
            "diameter_mm": _("only where the diameter is [mm]"),
        }
        help_texts = {
            "each": _(
                "In the part's unit: 2 bearings a roll, 1 frame a set, 2 m of rubber a metre."
            ),
            "diameter_mm": _("Of the pulley or of the set's rolls, as the register has it."),
            "name": _("As in the register of the conveyor: HEAD."),
        }

    def __init__(self, *args: Any, conveyors: QuerySet[Conveyor], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["conveyor"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset, field.empty_label = conveyors, str(_("any conveyor"))
        for one in self.fields.values():
            if isinstance(one, forms.DecimalField | forms.FloatField):
                one.widget.attrs["step"] = "any"

    def validate_constraints(self) -> None:
        """Left to the service, under its lock."""


class PartFileForm(forms.Form):
    plant = forms.ModelChoiceField(label=_("plant"), queryset=Plant.objects.none())
    file = forms.FileField(
        label=_("file"),
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ".xlsx,.csv,.tsv,.txt"}),
    )

    def __init__(self, *args: Any, plants: QuerySet[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["plant"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = plants
        if len(plants) == 1:
            field.initial = plants[0]

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > _LARGEST_FILE_BYTES:
            raise forms.ValidationError(
                _("The file is larger than %(most)d MB. Send it in parts."),
                params={"most": _LARGEST_FILE_BYTES // 1_000_000},
            )
        return file


class PartFilterForm(forms.Form):
    """The list's filters, all in the address."""

    words = forms.CharField(label=_("number or words"), required=False, max_length=80)
    kind = forms.ChoiceField(
        label=_("kind"), required=False, choices=[("", _("all kinds")), *Part.Kind.choices]
    )
    supply = forms.ChoiceField(
        label=_("what there is"),
        required=False,
        choices=[
            ("", _("any")),
            (Narrowed.SHORT.value, _("short: neither here nor due")),
            (Narrowed.WAITS.value, _("reserved for more than is here")),
            (Narrowed.LATE.value, _("should have come")),
        ],
    )
    plant = forms.ChoiceField(label=_("plant"), required=False)
    retired = forms.BooleanField(label=_("also retired ones"), required=False)

    def __init__(self, *args: Any, plants: list[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["plant"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", _("all")), *((plant.code, plant.name) for plant in plants)]
        if len(plants) < 2:
            del self.fields["plant"]

    def wanted(self) -> PartsWanted:
        """What was filled in rightly; a wrong filter lets everything through."""
        self.is_valid()
        filled = self.cleaned_data
        return PartsWanted(
            words=filled.get("words", ""),
            kind=filled.get("kind", ""),
            supply=filled.get("supply", ""),
            plant=filled.get("plant", ""),
            also_retired=bool(filled.get("retired")),
        )


def _in_unit(label: Any, part: Part) -> Any:
    return format_lazy("{} [{}]", label, part.get_unit_display())
