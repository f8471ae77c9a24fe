"""Which cause families most cases of a belt are of: bars, and the share they reach together."""

from collections.abc import Sequence
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.belt_trend import row_charts
from diagnostics.belt_trend.parts import BuiltPart
from diagnostics.belt_trend.words import family_words, nothing_words
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.recurrence.pareto import ParetoRow, pareto, vital_few
from diagnostics.selectors.belt_faults import BeltStudy
from plant.chart_specs import AMBER, INK, PAPER, told
from plant.chart_view import Cell, ChartView, Linked

_WIDTH, _NARROW = 420, 240
_MOST = 0.8


def build(study: BeltStudy) -> BuiltPart:
    heading = _("Which causes")
    if not study.faults:
        return BuiltPart(heading, header=_header(), missing=nothing_words())
    rows = pareto((one.family for one in study.faults), [one.value for one in CauseClass])
    again = pareto(one.family for one in study.faults if one.is_repeat)
    repeats = {row.key: row.events for row in again}
    chart = ChartView(
        slug="families",
        heading=heading,
        lead=_lead(rows),
        spec=_spec(rows, repeats, _WIDTH),
        narrow_spec=_spec(rows, repeats, _NARROW),
        header=_header(),
        rows=[_row(study, row, repeats) for row in rows],
        caption=_(
            "Bar: cases, filled where they are repeats. Dots on a broken line: the share of all "
            "cases that this family and those above it make up together, by the scale on top. "
            "Cases whose cause nobody has confirmed stand last, however many they are."
        ),
        file_address=study.file_address("families"),
    )
    return BuiltPart(heading, chart=chart)


def _lead(rows: Sequence[ParetoRow]) -> str:
    few, known = vital_few(tuple(rows), _MOST), [row for row in rows if row.key]
    unknown = sum(row.events for row in rows if not row.key)
    words = []
    if few:
        many = ngettext(
            "One cause family makes up %(share)s of all cases: %(names)s.",
            "%(few)s of %(known)s cause families make up %(share)s of all cases: %(names)s.",
            len(few),
        )
        names = ", ".join(family_words(row.key) for row in few)
        share = _percent(few[-1].cumulative)
        told = {"few": len(few), "known": len(known), "names": names, "share": share}
        words.append(many % told)
    if unknown:
        without = ngettext(
            "Of %(many)s case no cause is confirmed.",
            "Of %(many)s cases no cause is confirmed.",
            unknown,
        )
        words.append(without % {"many": unknown})
    return " ".join(words)


def _percent(share: float) -> str:
    return f"{number_format(round(100 * share), 0)}\N{NO-BREAK SPACE}%"


def _header() -> list[str]:
    return [_("cause family"), _("cases"), _("repeats"), _("share"), _("share with those above")]


def _row(study: BeltStudy, row: ParetoRow, repeats: dict[str, int]) -> list[Cell]:
    words: Cell = family_words(row.key)
    if row.key and study.period.family != row.key:
        words = Linked(family_words(row.key), study.page_address(family=row.key))
    shares = _percent(row.share), _percent(row.cumulative)
    return [words, row.events, repeats.get(row.key, 0), *shares]


def _spec(rows: Sequence[ParetoRow], repeats: dict[str, int], width: int) -> dict[str, Any]:
    values: list[dict[str, Any]] = [
        {
            "row": family_words(row.key),
            "first": row.events - repeats.get(row.key, 0),
            "cases": row.events,
            "repeats": repeats.get(row.key, 0),
            "number": str(row.events),
            "reached": row.cumulative,
        }
        for row in rows
    ]
    bar = {"type": "bar", "height": 20, "strokeWidth": 1.5}
    # Room for a line that reaches the whole beside bars that may be short.
    most = max(row.events for row in rows)
    cases = {"type": "quantitative", "scale": {"domain": [0, most]}}
    # Whole cases alone, at most eight of them.
    whole = list(range(0, most + 1, -(-most // 8)))
    axis = {"title": _("cases"), "values": whole, "format": "d", "grid": False}
    tooltip = told(
        ("row", _("cause family")),
        ("cases", _("cases"), "d"),
        ("repeats", _("repeats"), "d"),
        ("reached", _("share with those above"), ".0%"),
    )
    shares = {
        "field": "reached",
        "type": "quantitative",
        "scale": {"domain": [0, 1]},
        "axis": {"orient": "top", "format": ".0%", "title": None, "tickCount": 4, "offset": 8},
    }
    bars = [
        {
            "mark": {**bar, "fill": INK, "fillOpacity": 0, "stroke": INK},
            "transform": [{"filter": "datum.first > 0"}],
            "encoding": {"x": {**cases, "field": "first", "axis": axis}, "tooltip": tooltip},
        },
        {
            "mark": {**bar, "fill": AMBER, "stroke": AMBER},
            "transform": [{"filter": "datum.repeats > 0"}],
            "encoding": {
                "x": {**cases, "field": "first", "axis": axis},
                "x2": {"field": "cases"},
                "tooltip": tooltip,
            },
        },
        {
            "mark": {"type": "text", "align": "left", "dx": 6, "fontWeight": "bold"},
            "encoding": {
                "x": {**cases, "field": "cases", "axis": axis},
                "text": {"field": "number"},
            },
        },
    ]
    line = {"type": "line", "color": INK, "strokeWidth": 1, "strokeDash": [4, 3]}
    dots = {"type": "point", "size": 50, "fill": PAPER, "stroke": INK, "opacity": 1}
    reached = [
        {"mark": line, "encoding": {"x": shares, "order": {"field": "place"}}},
        {"mark": dots, "encoding": {"x": shares, "tooltip": tooltip}},
    ]
    return {
        "$schema": row_charts.SCHEMA,
        "data": {"values": [{**one, "place": place} for place, one in enumerate(values)]},
        "width": width,
        "height": {"step": row_charts.ROW_STEP},
        "encoding": {"y": row_charts.row_axis([one["row"] for one in values])},
        "resolve": {"scale": {"x": "independent"}},
        "layer": [
            row_charts.heads([one["row"] for one in values], width),
            {"layer": bars},
            {"layer": reached},
        ],
    }
