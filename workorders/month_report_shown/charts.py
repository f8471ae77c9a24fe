"""The two charts of a month's report: cases month by month, and how each belt changed."""

import math
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from diagnostics import trend_charts
from diagnostics.recurrence import trend_tables
from diagnostics.recurrence.trend_tables import CountTable, Grain
from diagnostics.trend_charts import MarkWords
from plant.chart_specs import AMBER, BLUE, INK, PAPER, SCHEMA
from plant.chart_specs import told as told_by
from plant.chart_view import Cell, ChartView
from workorders.month_report.changes import Change, Verdict
from workorders.month_report.figures import Figures
from workorders.month_report_shown import words
from workorders.month_report_shown.tables import VERDICT_WORDS

# Beyond a tenth and ten times the marks stand at the edge; the table has the figures.
_LEAST, _MOST = 0.1, 10.0
_MOST_BELTS = 12
_WIDTH, _STEP = 260, 22


def course(told: Figures) -> ChartView:
    cells = tuple(trend_tables.Cell(one.cases, one.repeats) for one in told.course)
    stretches = tuple(date.fromisoformat(f"{one.month}-01") for one in told.course)
    table = CountTable(Grain.MONTH, stretches, {"": cells})
    bar_words = MarkWords(cases=_("cases"), repeats=_("came back"), when=_("month"))
    return ChartView(
        slug="course",
        heading=_("Cases month by month"),
        caption=_("Filled: faults that came back after a passed proof run. Hollow: all others."),
        spec=trend_charts.bars_over_time(table, bar_words),
        header=[_("Month"), _("Cases"), _("Came back")],
        rows=[[one.month, one.cases, one.repeats] for one in told.course],
    )


def changes(told: Figures) -> ChartView | None:
    """None where no belt can be compared."""
    known = [one for one in told.compared.belts if one.verdict != Verdict.UNKNOWN]
    if not known:
        return None
    shown = sorted(known, key=_telling)[:_MOST_BELTS]
    return ChartView(
        slug="changes",
        heading=_("Each belt against its own year before"),
        caption=_(
            "Mark: how many times as often; line: where the true figure lies with %(level)s. "
            "Diamond: got worse. Square: got better. Circle: may be chance."
        )
        % {"level": words.level_words()},
        spec=_spec([_value(one) for one in shown]),
        header=[
            _("Conveyor"),
            _("Cases in 3 months"),
            _("in the 12 before"),
            _("Times as often"),
            _("from"),
            _("to"),
            _("Verdict"),
        ],
        # All of them, though the drawing has room for the most telling only.
        rows=[_row(one) for one in sorted(told.compared.belts, key=_telling)],
    )


def _row(one: Change) -> list[Cell]:
    verdict = str(VERDICT_WORDS[Verdict(one.verdict)])
    return [one.name, one.later, one.earlier, one.ratio, one.lower, one.upper, verdict]


def _telling(one: Change) -> tuple[bool, float, str]:
    """Named changes first, then those with most cases."""
    return one.verdict == Verdict.OPEN, -(one.earlier + one.later), one.name


def _value(one: Change) -> dict[str, Any]:
    ratio = math.inf if one.ratio is None else one.ratio
    return {
        "belt": one.name,
        "words": words.how_often(one),
        "ratio": _clipped(ratio),
        "lower": _clipped(one.lower or 0.0),
        "upper": _clipped(math.inf if one.upper is None else one.upper),
        "verdict": one.verdict,
    }


def _clipped(ratio: float) -> float:
    return min(max(ratio, _LEAST), _MOST)


def _spec(values: list[dict[str, Any]]) -> dict[str, Any]:
    x_axis = {
        "field": "ratio",
        "type": "quantitative",
        "scale": {"type": "log", "domain": [_LEAST, _MOST]},
        "axis": {
            "title": _("times as often"),
            "values": [0.1, 0.2, 0.5, 1, 2, 5, 10],
            "format": "~r",
        },
    }
    y_axis = {
        "field": "belt",
        "type": "ordinal",
        "sort": None,
        "axis": {"title": None, "domain": False, "ticks": False, "labelPadding": 10},
    }
    told_of = told_by(("belt", _("conveyor")), ("words", _("cases")))
    x = {"x": x_axis, "y": y_axis, "tooltip": told_of}
    return {
        "$schema": SCHEMA,
        "data": {"values": values},
        "width": _WIDTH,
        "height": {"step": _STEP},
        "layer": [
            {
                "mark": {"type": "rule", "stroke": INK, "strokeDash": [3, 3]},
                "data": {"values": [{"ratio": 1}]},
                "encoding": {"x": x_axis},
            },
            {
                "mark": {"type": "rule", "stroke": INK, "strokeWidth": 1.5},
                "encoding": {
                    "y": y_axis,
                    "x": {**x_axis, "field": "lower"},
                    "x2": {"field": "upper"},
                },
            },
            _mark(Verdict.OPEN, {"shape": "circle", "fill": PAPER, "stroke": INK}, x),
            _mark(Verdict.WORSE, {"shape": "diamond", "fill": AMBER, "stroke": AMBER}, x),
            _mark(Verdict.BETTER, {"shape": "square", "fill": BLUE, "stroke": BLUE}, x),
        ],
    }


def _mark(verdict: Verdict, look: dict[str, Any], x: dict[str, Any]) -> dict[str, Any]:
    return {
        "mark": {"type": "point", "size": 110, "opacity": 1, "strokeWidth": 1.5, **look},
        "transform": [{"filter": f"datum.verdict == '{verdict.value}'"}],
        "encoding": x,
    }
