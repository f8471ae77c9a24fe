"""What people fill in about limits, renewals and what replacing costs."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from plant.condition_forms import FigureField
from plant.days import check_day
from plant.loop.condition import Quantity
from plant.models import Conveyor
from plant.models.condition_reading import QUANTITY_WORDS
from plant.register_forms import RegisterForm
from workorders.life_subjects import LifeSubject
from workorders.models import ReplacementCosts

_QUANTITIES = [(one.value, QUANTITY_WORDS[one]) for one in Quantity]


class LimitForm(forms.Form):
    quantity = forms.ChoiceField(label=_("what is read"), choices=_QUANTITIES)
    value = FigureField(
        label=_("limit"),
        required=False,
        help_text=_(
            "In the unit of the reading: mm, °C, m, or a grade. Left empty, the wider limit "
            "counts again."
        ),
    )
    component = forms.TypedChoiceField(label=_("for"), required=False, coerce=int, empty_value=None)
    why = forms.CharField(
        label=_("why"),
        required=False,
        max_length=200,
        help_text=_("Such as the maker's figure, or what was learned."),
    )

    def __init__(self, *args: Any, conveyor: Conveyor | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if conveyor is None:
            del self.fields["component"]
            return
        field = self.fields["component"]
        assert isinstance(field, forms.TypedChoiceField)
        names = [(one.pk, one.name) for one in conveyor.components.all()]
        field.choices = [("", _("the whole conveyor")), *names]


class RenewalForm(forms.Form):
    renewed_on = forms.DateField(
        label=_("renewed"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        validators=[check_day],
        help_text=_("Readings of that day and later are of the new one."),
    )
    had_failed = forms.TypedChoiceField(
        label=_("before that"),
        choices=[
            ("yes", _("it had failed, or met its limit")),
            ("no", _("it was still good: renewed to be on the safe side")),
        ],
        coerce=lambda said: said == "yes",
        initial="yes",
        widget=forms.RadioSelect,
    )
    only_spot = forms.BooleanField(label=_("only this spot"), required=False)
    note = forms.CharField(label=_("note"), required=False, max_length=200)

    def __init__(self, *args: Any, spot: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not spot:
            del self.fields["only_spot"]


class CostsForm(RegisterForm):
    class Meta:
        model = ReplacementCosts
        fields = [
            "planned_cost",
            "failure_cost",
            "visit_cost",
            "hours_each",
            "free_stop_h",
            "stop_cost_per_h",
        ]

    def __init__(self, *args: Any, subject: LifeSubject, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not subject.is_of_rolls:
            for name in ("visit_cost", "hours_each", "free_stop_h", "stop_cost_per_h"):
                del self.fields[name]
