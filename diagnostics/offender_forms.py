"""What the list of repeat offenders is asked for; all of it stands in the address."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from diagnostics.models import FaultReckoning
from diagnostics.selectors.offenders import By, Wanted
from diagnostics.trend_forms import FAMILIES, check_order, day_field
from plant.exposure_words import PER_CHOICES, basis_asked
from plant.models import Plant

Span = FaultReckoning.Span
BY_WORDS = {
    By.LOST: _("lost hours"),
    By.CASES: _("cases"),
    By.WORSE: _("worse than usual"),
    By.TREND: _("trend"),
}
# It is no field of the page but a word of the address: who typed it must see what is understood.
_NO_ORDER = format_lazy(
    _("Belts are not ranked by “{asked}”; “by” in the address is one of: {words}."),
    asked="%(value)s",
    words=", ".join(By),
)


class OffenderForm(forms.Form):
    """A named span stands before two days; both days are needed then.

    `plants` are those of the person, `plant` the one that is looked at, `areas` its own.
    """

    plant = forms.ChoiceField(label=_("Plant"), required=False)
    area = forms.ChoiceField(label=_("Area"), required=False)
    family = forms.ChoiceField(label=_("Cause family"), required=False, choices=FAMILIES)
    span = forms.ChoiceField(label=_("Period"), required=False)
    per = forms.ChoiceField(label=_("Rates in"), required=False, choices=PER_CHOICES)
    by = forms.ChoiceField(
        label=_("Worst by"),
        required=False,
        choices=[("", ""), *((by.value, words) for by, words in BY_WORDS.items())],
        error_messages={"invalid_choice": _NO_ORDER},
    )
    since = day_field(_("From"))
    until = day_field(_("To"))

    def __init__(
        self,
        asked: Mapping[str, str],
        *,
        plants: Iterable[Plant],
        plant: Plant | None,
        areas: Iterable[str],
    ) -> None:
        said = {name: text for name, text in asked.items() if text}
        if said.get("span"):
            # The span was chosen last: what days were looked at before count no more.
            said = {name: text for name, text in said.items() if name not in ("since", "until")}
        elif not said.keys() & {"since", "until"}:
            said["span"] = Span.USUAL.value
        if plant is not None:
            said.setdefault("plant", plant.code)
        super().__init__(said)
        self._choose("plant", [(one.code, one.name) for one in plants])
        self._choose("area", [("", _("all")), *((area, area) for area in areas)])
        days = [] if said.get("span") else [("", _("the days below"))]
        self._choose("span", [*days, *Span.choices])

    def clean(self) -> dict[str, Any]:
        filled = super().clean() or {}
        if self.errors or filled["span"]:
            return filled
        for name in ("since", "until"):
            if filled[name] is None:
                self.add_error(name, _("Give both days, or choose a period."))
        if not self.errors:
            check_order(self)
        return filled

    def wanted(self) -> Wanted:
        """What was asked for; the usual while something of it is wrong."""
        if not self.is_valid():
            return Wanted()
        filled = self.cleaned_data
        return Wanted(
            area=filled["area"],
            family=filled["family"],
            basis=basis_asked(filled["per"]),
            span=filled["span"],
            days=self._days(),
            by=By(filled["by"] or By.LOST),
        )

    def _days(self) -> tuple[date, date] | None:
        filled = self.cleaned_data
        return None if filled["span"] else (filled["since"], filled["until"])

    def _choose(self, name: str, choices: list[tuple[str, Any]]) -> None:
        chosen = self.fields[name]
        assert isinstance(chosen, forms.ChoiceField)
        chosen.choices = choices
