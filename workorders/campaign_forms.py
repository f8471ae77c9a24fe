"""What people fill in about campaigns, and about two periods to compare."""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.selectors.trends import Period
from diagnostics.trend_forms import FAMILIES
from plant.exposure_words import PER_CHOICES, basis_asked
from plant.metering.basis import Basis
from plant.models import Conveyor, Plant
from plant.selectors.conveyor_list import areas_of
from workorders.models import Campaign
from workorders.outage_forms import BeltsField, day_field
from workorders.selectors.campaign_periods import USUAL_DAYS, Periods
from workorders.services.keeping_campaigns import CampaignWanted

_LONGEST_DAYS = 3660


class CampaignForm(forms.Form):
    name = forms.CharField(
        label=_("name"), max_length=120, help_text=_("As people call it: “return idlers squared”.")
    )
    began_on = day_field(label=_("first day"))
    ended_on = day_field(
        label=_("last day"), required=False, help_text=_("Left empty, it lasted one day.")
    )
    chosen = forms.ChoiceField(
        label=_("belts were chosen"),
        choices=Campaign.Chosen.choices,
        help_text=_("The worst belts get better by themselves; the figures allow for that."),
    )
    area = forms.ChoiceField(label=_("area"), required=False)
    conveyors = BeltsField(
        label=_("conveyors"),
        required=False,
        help_text=_("None ticked and no area chosen: all conveyors of the plant."),
    )
    family = forms.ChoiceField(
        label=_("cause family"),
        required=False,
        choices=FAMILIES,
        help_text=_("What the campaign was against; only such cases are compared."),
    )
    note = forms.CharField(
        label=_("what was done"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    field_order = (
        "name",
        "chosen",
        "began_on",
        "ended_on",
        "area",
        "family",
        "conveyors",
        "note",
    )

    def __init__(self, *args: Any, plant: Plant, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        belts, area = self.fields["conveyors"], self.fields["area"]
        assert isinstance(belts, BeltsField)
        assert isinstance(area, forms.ChoiceField)
        belts.of(plant, self.initial.get("conveyors", ()))
        area.choices = _areas(plant)

    def wanted(self) -> CampaignWanted:
        said = {**self.cleaned_data, "conveyors": list(self.cleaned_data["conveyors"])}
        said["ended_on"] = said["ended_on"] or said["began_on"]
        return CampaignWanted(**said)

    @staticmethod
    def initial_of(row: Campaign) -> dict[str, Any]:
        fields = ("name", "began_on", "ended_on", "chosen", "area", "family", "note")
        kept = {name: getattr(row, name) for name in fields}
        return {**kept, "conveyors": list(row.conveyors.all())}


class _PerForm(forms.Form):
    per = forms.ChoiceField(label=_("Rates in"), required=False, choices=PER_CHOICES)

    def basis(self) -> Basis | None:
        return basis_asked(self.cleaned_data.get("per", "")) if self.is_valid() else None


class SpanForm(_PerForm):
    """How far before and after a campaign is looked; in the address."""

    days = forms.TypedChoiceField(
        label=_("Look"),
        required=False,
        coerce=int,
        empty_value=None,
        choices=[
            ("", _("a year before and after")),
            (90, _("90 days before and after")),
            (180, _("180 days before and after")),
            (730, _("two years before and after")),
        ],
    )
    field_order = ("days", "per")

    def days_asked(self) -> int:
        said: int | None = self.cleaned_data["days"] if self.is_valid() else None
        return said or USUAL_DAYS


class PeriodsForm(_PerForm):
    """Two periods typed freely, of a plant, an area or one conveyor; in the address."""

    plant = forms.ChoiceField(label=_("Plant"), required=False)
    area = forms.ChoiceField(label=_("Area"), required=False)
    tag = forms.CharField(label=_("Conveyor"), required=False, max_length=40)
    family = forms.ChoiceField(label=_("Cause family"), required=False, choices=FAMILIES)
    before_since = day_field(label=_("Before: from"))
    before_until = day_field(label=_("Before: to"))
    after_since = day_field(label=_("After: from"))
    after_until = day_field(label=_("After: to"))
    field_order = (
        "plant",
        "area",
        "tag",
        "family",
        "before_since",
        "before_until",
        "after_since",
        "after_until",
        "per",
    )

    def __init__(
        self, asked: Mapping[str, str], *, plants: list[Plant], plant: Plant, today: date
    ) -> None:
        said = {name: text for name, text in asked.items() if text}
        super().__init__({"plant": plant.code, **_usual(today), **said})
        self.of_plant = plant
        choices = {"plant": [(one.code, one.name) for one in plants], "area": _areas(plant)}
        for name, found in choices.items():
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = found
        if len(plants) < 2:
            del self.fields["plant"]

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        for earlier, later, said in _IN_ORDER:
            first, last = filled.get(earlier), filled.get(later)
            if first and last and first > last:
                self.add_error(later, said)
        if not self.errors and filled["before_until"] >= filled["after_since"]:
            self.add_error("after_since", _("The second period must begin after the first ends."))
        if (
            not self.errors
            and (filled["after_until"] - filled["before_since"]).days > _LONGEST_DAYS
        ):
            self.add_error("before_since", _("Choose periods that lie within ten years."))
        if filled.get("tag") and not self._belts(filled).exists():
            self.add_error("tag", _("No conveyor of this plant (and area) has this tag."))
        return filled

    def _belts(self, filled: Mapping[str, Any]) -> Any:
        rows = Conveyor.objects.filter(plant=self.of_plant)
        if filled.get("area"):
            rows = rows.filter(area=filled["area"])
        if filled.get("tag"):
            rows = rows.filter(tag__iexact=filled["tag"])
        return rows

    def belts(self) -> Any:
        return self._belts(self.cleaned_data)

    def is_of_all(self) -> bool:
        return not (self.cleaned_data.get("area") or self.cleaned_data.get("tag"))

    def periods(self) -> Periods:
        """Only of a valid form."""
        said = self.cleaned_data
        family = said.get("family", "")
        return Periods(
            Period(said["before_since"], said["before_until"], family),
            Period(said["after_since"], said["after_until"], family),
        )


_IN_ORDER = (
    ("before_since", "before_until", _("The first period ends before it begins.")),
    ("after_since", "after_until", _("The second period ends before it begins.")),
)


def _usual(today: date) -> dict[str, str]:
    """The last half year against the year before it."""
    half = today - timedelta(days=182)
    days = {
        "before_since": half - timedelta(days=365),
        "before_until": half - timedelta(days=1),
        "after_since": half,
        "after_until": today,
    }
    return {name: day.isoformat() for name, day in days.items()}


def _areas(plant: Plant) -> list[tuple[str, Any]]:
    found = areas_of(Conveyor.objects.filter(plant=plant))
    return [("", _("all")), *((one, one) for one in found)]
