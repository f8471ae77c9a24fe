"""A belt's own figures, each of which explains itself in two sentences."""

from collections.abc import Iterator
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from diagnostics import fault_words
from diagnostics.belt_trend.beside_plant import BesidePlant, beside_plant
from diagnostics.belt_trend.parts import BuiltPart
from diagnostics.belt_trend.words import waiting_words
from diagnostics.fault_choice import Span, span_days
from diagnostics.fault_columns import COLUMNS
from diagnostics.fault_words import DASH, Figure
from diagnostics.models import BeltFaults
from diagnostics.recurrence.faults.detail import BeltDetail
from diagnostics.selectors.belt_faults import BeltStudy
from plant import exposure_words
from plant.chart_view import Cell
from plant.metering.basis import Basis

_HEADINGS: dict[str, str | Promise] = {
    **{column.slug: column.heading for column in COLUMNS},
    "exposure": gettext_lazy("Exposure"),
    "own-rate": gettext_lazy("Own rate"),
    "laplace": gettext_lazy("Laplace test"),
    "shape": gettext_lazy("Power-law shape"),
}
_ORDER = ("cases", "exposure", "own-rate", "rate", "worse", "trend", "laplace", "shape")


def build(study: BeltStudy) -> BuiltPart:
    heading, found = _("This belt in figures"), beside_plant(study)
    if found.belt is None:
        missing = waiting_words() if found.plant is None else _not_watched()
        return BuiltPart(heading, header=_header(), missing=missing)
    figures = _figures(found.belt, found)
    shown = [(_HEADINGS[slug], figures[slug]) for slug in (*_ORDER, "lost", "cause")]
    return BuiltPart(
        heading,
        header=_header(),
        rows=[_row(str(words), figure) for words, figure in shown],
        template="diagnostics/belt_trend/figures.html",
        context={
            "figures": shown,
            "file_address": study.file_address("figures"),
            "reckoned_at": found.reckoned_at,
            "offenders": _offenders(study, found.basis),
        },
    )


def _offenders(study: BeltStudy, basis: Basis) -> str:
    """All belts on the same days, exposure and family."""
    plant, period = study.conveyor.plant, study.period
    today = plant.day_of(study.now)
    asked = {"plant": plant.code, "family": period.family, "per": basis.value}
    if (period.first, period.last) != span_days(Span.USUAL, today):
        asked |= {"since": period.first.isoformat(), "until": period.last.isoformat()}
    said = urlencode({name: text for name, text in asked.items() if text})
    return f"{reverse('repeat-offenders')}?{said}"


def _not_watched() -> str:
    return _("The belt was not watched in this period, and had no case: choose another one.")


def _figures(belt: BeltFaults, found: BesidePlant) -> dict[str, Figure]:
    own = {figure.slug: figure for figure in _own_figures(belt, found.basis)}
    return fault_words.figures_of(belt, found.reckoning) | own


def _own_figures(belt: BeltFaults, basis: Basis) -> Iterator[Figure]:
    detail = BeltDetail.of_json(belt.detail)
    yield _exposure(belt, detail, basis)
    yield _own_rate(belt, detail, basis)
    yield _laplace(detail)
    yield _shape(belt, detail)


def _exposure(belt: BeltFaults, detail: BeltDetail, basis: Basis) -> Figure:
    said = exposure_words.basis_words(basis)
    if belt.exposure is None:
        unknown = _("None of it is known in this period.")
        return Figure("exposure", DASH, (said, unknown))
    gaps = (
        _("Of %(days)s days in the period nothing is known; they are left out.")
        % {"days": fault_words.number(belt.unknown_days, 0)}
        if belt.unknown_days
        else _("All of the time in which the belt was watched is known.")
    )
    return Figure("exposure", exposure_words.amount_words(belt.exposure, basis), (said, gaps))


def _own_rate(belt: BeltFaults, detail: BeltDetail, basis: Basis) -> Figure:
    if belt.rate is None:
        none = _("There is no known exposure to divide its cases by.")
        return Figure("own-rate", DASH, (none, _("See above what could be read or chosen.")))
    counted = _("%(n)d of its cases fall into known exposure; divided by it they make this rate.")
    return Figure(
        "own-rate",
        fault_words.rate_words(belt.rate, basis),
        (
            counted % {"n": detail.counted},
            _("It takes few cases at their word; to compare belts take the fair rate."),
        ),
    )


def _laplace(detail: BeltDetail) -> Figure:
    if detail.laplace_u is None or detail.laplace_p is None:
        return Figure("laplace", DASH, _too_few())
    told = {"p": fault_words.chance(detail.laplace_p)}
    if detail.laplace_u > 0:
        seen = _("Above 0: its cases lie late in the period, so they come thicker.")
    else:
        seen = _("Below 0: its cases lie early in the period, so they thin out.")
    how = _(
        "Chance alone makes a figure so far from 0 with a probability of %(p)s, looking at this "
        "belt alone."
    )
    return Figure(
        "laplace",
        _("u = %(u)s") % {"u": fault_words.number(detail.laplace_u, 2)},
        (seen, how % told),
        note=_("p %(p)s") % told,
    )


def _shape(belt: BeltFaults, detail: BeltDetail) -> Figure:
    if belt.trend_shape is None:
        return Figure("shape", DASH, _too_few())
    shown = fault_words.number(belt.trend_shape, 2)
    limits = fault_words.between(detail.shape_lower, detail.shape_upper)
    what = _(
        "Cases grow with the power %(shape)s of exposure (Crow-AMSAA, bias taken out): at 1 they "
        "come evenly, above it ever thicker, below it ever thinner."
    ) % {"shape": shown}
    if limits:
        sure = _("With 90 %% certainty it lies from %(limits)s.") % {"limits": limits}
    else:
        sure = _("So few cases give it no limits.")
    return Figure("shape", shown, (what, sure), note=limits)


def _too_few() -> tuple[str, str]:
    return (
        _("Fewer than three cases with a known time of running make no course."),
        _("Wait, or choose a longer period."),
    )


def _header() -> list[str]:
    return [_("figure"), _("value"), _("beside it"), _("what it says")]


def _row(words: str, figure: Figure) -> list[Cell]:
    said: Any = " ".join(figure.said)
    return [words, figure.shown, figure.note, said]
