"""What the keeper of the register fills in; figures carry their unit beside the label."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from plant.loop.layout import LayoutFigures
from plant.loop.vocabulary import TakeUpKind
from plant.models import Component, Conveyor, Plant
from plant.models.conveyor import LONGEST_ISOLATION_POINT, MOST_ISOLATION_POINTS
from plant.register_files.cells import lines_of
from plant.words import TAKE_UP_WORDS

_UNITS = {
    "centre_distance_m": "m",
    "lift_m": "m",
    "speed_mps": "m/s",
    "capacity_tph": "t/h",
    "trough_angle_deg": "°",
    "return_vee_deg": "°",
    "clearance_mm": "mm",
    "take_up_tension_kn": "kN",
    "first_m": "m",
    "spacing_m": "m",
    "diameter_mm": "mm",
    "wrap_deg": "°",
    "in_deg": "°",
    "out_deg": "°",
    "length_m": "m",
    "width_mm": "mm",
    "strength_n_mm": "N/mm",
    "modulus_kn_m": "kN/m",
    "mass_kg_m2": "kg/m²",
    "belt_position_m": "m",
}
_NICKNAME_LENGTH = 60
DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class RegisterForm(forms.ModelForm):
    """Checks what one field can be; rules across rows are the service's, under its lock."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            if name in _UNITS:
                field.label = format_lazy("{} [{}]", field.label, _UNITS[name])
            if isinstance(field, forms.DecimalField | forms.FloatField):
                field.widget.attrs["step"] = "any"

    def validate_constraints(self) -> None:
        """Left to the service: it answers with the field to mend, and holds against a race."""


class NicknamesField(forms.CharField):
    """Names between commas; spare commas and blanks do no harm, names said twice count once."""

    def prepare_value(self, value: Any) -> Any:
        return ", ".join(value) if isinstance(value, list) else value

    def to_python(self, value: Any) -> Any:
        names: dict[str, str] = {}
        for name in (super().to_python(value) or "").split(","):
            words = " ".join(name.split())
            if words:
                names.setdefault(words.casefold(), words)
        return list(names.values())

    def validate(self, value: list[str]) -> None:
        too_long = next((name for name in value if len(name) > _NICKNAME_LENGTH), None)
        if too_long:
            raise forms.ValidationError(
                _("“%(name)s…” is longer than %(most)d letters."),
                params={"name": too_long[:20], "most": _NICKNAME_LENGTH},
            )

    def run_validators(self, value: list[str]) -> None:
        for name in value:
            super().run_validators(name)

    def has_changed(self, initial: Any, data: Any) -> bool:
        return self.to_python(data) != (initial or [])


class LinesField(forms.CharField):
    """Words one to a line, in their order; empty lines do no harm, lines said twice count once."""

    widget = forms.Textarea(attrs={"rows": 4})

    def __init__(self, *, most: int, longest: int, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.most, self.longest = most, longest

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(value) if isinstance(value, list) else value

    def to_python(self, value: Any) -> Any:
        return lines_of(super().to_python(value) or "")

    def validate(self, value: list[str]) -> None:
        if len(value) > self.most:
            raise forms.ValidationError(
                _("%(count)d lines; at most %(most)d are kept."),
                params={"count": len(value), "most": self.most},
            )
        too_long = next((line for line in value if len(line) > self.longest), None)
        if too_long:
            raise forms.ValidationError(
                _("“%(line)s…” is longer than %(most)d letters."),
                params={"line": too_long[:20], "most": self.longest},
            )

    def run_validators(self, value: list[str]) -> None:
        for line in value:
            super().run_validators(line)

    def has_changed(self, initial: Any, data: Any) -> bool:
        return self.to_python(data) != (initial or [])


class ConveyorForm(RegisterForm):
    nicknames = NicknamesField(
        label=_("nicknames"),
        required=False,
        help_text=_("What people call it on the telephone, separated by commas."),
    )
    isolation_points = LinesField(
        label=_("isolation points"),
        required=False,
        most=MOST_ISOLATION_POINTS,
        longest=LONGEST_ISOLATION_POINT,
        help_text=_(
            "One to a line, in the order in which they are locked, stored energy too: "
            "MCC-4 drive isolator Q30-M1, lock 1."
        ),
    )

    class Meta:
        model = Conveyor
        fields = [
            "tag",
            "name",
            "nicknames",
            "area",
            "left_words",
            "right_words",
            "carries",
            "capacity_tph",
            "centre_distance_m",
            "lift_m",
            "speed_mps",
            "is_reversing",
            "trough_angle_deg",
            "return_vee_deg",
            "clearance_mm",
            "isolation_points",
            "consequence",
            "hour_costs",
            "take_up_kind",
            "take_up_tension_kn",
            "note",
        ]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or self.cleaned_data
        left, right = filled.get("left_words", ""), filled.get("right_words", "")
        if left and left.casefold() == right.casefold():
            self.add_error("right_words", _("Left and right need words of their own."))
        return filled


class NewConveyorForm(ConveyorForm):
    plant = forms.ModelChoiceField(label=_("plant"), queryset=Plant.objects.none())

    field_order = ["plant"]

    def __init__(self, *args: Any, plants: QuerySet[Plant], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["plant"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = plants
        if len(plants) == 1:
            field.initial = plants[0]


class ComponentForm(RegisterForm):
    class Meta:
        model = Component
        fields = [
            "name",
            "kind",
            "run",
            "first_m",
            "count",
            "spacing_m",
            "is_numbered",
            "set_prefix",
            "first_number",
            "rolls_per_set",
            "diameter_mm",
            "wrap_deg",
            "in_deg",
            "out_deg",
            "length_m",
            "fitted_on",
            "note",
        ]
        widgets = {"note": forms.Textarea(attrs={"rows": 2}), "fitted_on": DAY}
        help_texts = {
            "first_m": _(
                "Along the belt in the direction of travel, 0 where it leaves the tail pulley; "
                "of a pulley where the belt meets it, of a group its first set."
            ),
            "count": _("How many idler sets stand at this spacing."),
            "is_numbered": _("Each set is called by the name and its number: C1, C2, ..."),
            "wrap_deg": _("Pulleys: arc of contact."),
            "diameter_mm": _("Pulleys: shell with lagging."),
            "in_deg": _(
                "Pulleys, for the drawing: direction of the belt before it; 0 is carrying travel, "
                "90 is up, 180 is the return run."
            ),
            "out_deg": _("Direction of the belt after it."),
            "length_m": _("Of skirts from a load point on, of a stretch of structure."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["first_number"].required = False

    def clean_first_number(self) -> int:
        """Left empty it is 1, as on a form that does not ask for it."""
        return self.cleaned_data["first_number"] or 1


class LayOutForm(forms.Form):
    """The few figures an ordinary conveyor is laid out from."""

    centre_distance_m = forms.FloatField(
        label=_("centre distance [m]"), min_value=2, max_value=20_000
    )
    head_diameter_mm = forms.FloatField(
        label=_("head pulley diameter [mm]"), min_value=100, max_value=3000, initial=630
    )
    tail_diameter_mm = forms.FloatField(
        label=_("tail pulley diameter [mm]"), min_value=100, max_value=3000, initial=500
    )
    load_at_m = forms.FloatField(
        label=_("load point, from the tail [m]"), min_value=0, max_value=20_000, initial=2.5
    )
    skirt_m = forms.FloatField(
        label=_("length of its skirts [m]"), min_value=0, max_value=500, initial=3
    )
    carrying_spacing_m = forms.FloatField(
        label=_("spacing of troughing idlers [m]"), min_value=0.2, max_value=20, initial=1.2
    )
    return_spacing_m = forms.FloatField(
        label=_("spacing of return idlers [m]"), min_value=0.2, max_value=40, initial=3
    )
    impact_spacing_m = forms.FloatField(
        label=_("spacing of impact idlers [m]"), min_value=0.1, max_value=5, initial=0.5
    )
    is_vee_return = forms.BooleanField(label=_("return idlers are vees"), required=False)
    take_up = forms.ChoiceField(
        label=_("take-up"), choices=[(kind.value, TAKE_UP_WORDS[kind]) for kind in TakeUpKind]
    )
    take_up_after_head_m = forms.FloatField(
        label=_("first bend pulley, from the head [m]"),
        min_value=0.5,
        max_value=20_000,
        initial=10,
        help_text=_("For a gravity or horizontal take-up only, as the next three."),
    )
    take_up_leg_m = forms.FloatField(
        label=_("strand between bend and take-up pulley [m]"),
        min_value=0.2,
        max_value=200,
        initial=5,
    )
    take_up_diameter_mm = forms.FloatField(
        label=_("take-up pulley diameter [mm]"), min_value=100, max_value=3000, initial=630
    )
    bend_diameter_mm = forms.FloatField(
        label=_("bend pulley diameter [mm]"), min_value=100, max_value=3000, initial=500
    )
    belt_width_mm = forms.FloatField(
        label=_("belt width [mm]"),
        min_value=100,
        max_value=4000,
        required=False,
        help_text=_("Given, a belt as long as the path is fitted too."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, forms.FloatField):
                field.widget.attrs["step"] = "any"

    def figures(self) -> LayoutFigures:
        filled = {**self.cleaned_data}
        filled.pop("belt_width_mm")
        return LayoutFigures(**{**filled, "take_up": TakeUpKind(filled["take_up"])})


class ConveyorFilter(forms.Form):
    q = forms.CharField(label=_("tag, name or nickname"), required=False, max_length=100)
    plant = forms.ChoiceField(label=_("plant"), required=False)
    area = forms.ChoiceField(label=_("area"), required=False)
    retired = forms.BooleanField(label=_("retired ones too"), required=False)

    def __init__(self, *args: Any, plants: list[Plant], areas: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._choose("plant", _("all plants"), [(one.code, one.name) for one in plants])
        self._choose("area", _("all areas"), [(area, area) for area in areas])
        if len(plants) < 2:
            del self.fields["plant"]

    def _choose(self, name: str, all_words: Any, choices: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", all_words), *choices]
