"""The charts of the trend pages as Vega-Lite specifications; shape and number say what colour says.

Hollow is a first time, filled amber a repeat; a circle counts cases, a diamond has repeats in it.
"""

from dataclasses import dataclass
from typing import Any

from diagnostics.recurrence.trend_tables import CountTable
from plant.chart_specs import SCHEMA, told
from plant.charts import AMBER, INK, PAPER

_STEP = 30
_ROW_STEP = 52
_CIRCLE = {"shape": "circle", "size": 420, "stroke": INK}
_DIAMOND = {"shape": "diamond", "size": 620, "stroke": AMBER, "strokeWidth": 2.5}


@dataclass(frozen=True)
class MarkWords:
    """What a mark tells of itself; `row` is empty where there is one row only."""

    cases: str
    repeats: str
    when: str
    row: str = ""

    def told(self) -> list[dict[str, Any]]:
        row = (("row", self.row),) if self.row else ()
        counts = (("cases", self.cases, "d"), ("repeats", self.repeats, "d"))
        return told(*row, ("when", self.when), *counts)


def bars_over_time(table: CountTable, words: MarkWords) -> dict[str, Any]:
    """Cases in each stretch of time, repeats on top of the first times."""
    labels = stretch_labels(table)
    cells = table.rows.get("", ())
    values = [
        {
            "when": label,
            "first": cell.cases - cell.repeats,
            "cases": cell.cases,
            "repeats": cell.repeats,
            "words": str(cell.cases) if cell.cases else "",
        }
        for label, cell in zip(labels, cells, strict=True)
    ]
    count_axis = {"title": words.cases, "tickMinStep": 1, "format": "d"}
    bar = {"type": "bar", "width": {"band": 0.62}, "strokeWidth": 1.5}
    return {
        "$schema": SCHEMA,
        "data": {"values": values},
        "width": {"step": _STEP},
        "height": 180,
        "encoding": {"x": _time_axis(labels), "tooltip": words.told()},
        "layer": [
            {
                "mark": {**bar, "fill": INK, "fillOpacity": 0, "stroke": INK},
                "transform": [{"filter": "datum.first > 0"}],
                "encoding": {"y": {"field": "first", "type": "quantitative", "axis": count_axis}},
            },
            {
                "mark": {**bar, "fill": AMBER, "stroke": AMBER},
                "transform": [{"filter": "datum.repeats > 0"}],
                "encoding": {
                    "y": {"field": "first", "type": "quantitative"},
                    "y2": {"field": "cases"},
                },
            },
            {
                "mark": {"type": "text", "dy": -8},
                "encoding": {
                    "y": {"field": "cases", "type": "quantitative"},
                    "text": {"field": "words"},
                },
            },
        ],
    }


def marks_by_row(table: CountTable, words: dict[str, str], marks: MarkWords) -> dict[str, Any]:
    """For each row and stretch of time a mark with its number of cases."""
    labels = stretch_labels(table)
    values = [
        {"when": label, "row": words[row], "cases": cell.cases, "repeats": cell.repeats}
        for row, cells in table.rows.items()
        for label, cell in zip(labels, cells, strict=True)
        if cell.cases
    ]
    rows = [{"row": words[row]} for row in table.rows]
    return {
        "$schema": SCHEMA,
        "data": {"values": values},
        "width": {"step": _STEP},
        "height": {"step": _ROW_STEP},
        "encoding": {"y": _row_axis([row["row"] for row in rows])},
        "layer": [
            # The word stands above its row and not beside it: on a phone there is no beside.
            {
                "data": {"values": rows},
                "mark": {"type": "text", "align": "left", "dy": -20},
                "encoding": {"x": {"value": 0}, "text": {"field": "row"}},
            },
            _mark("datum.repeats == 0", _CIRCLE, labels, marks),
            _mark("datum.repeats > 0", _DIAMOND, labels, marks),
            {
                "mark": {"type": "text", "fontWeight": "bold"},
                "encoding": {
                    "x": _time_axis(labels),
                    "text": {"field": "cases", "type": "quantitative"},
                },
            },
        ],
    }


def _mark(which: str, look: dict[str, Any], labels: list[str], words: MarkWords) -> dict[str, Any]:
    return {
        "mark": {"type": "point", "fill": PAPER, "opacity": 1, **look},
        "transform": [{"filter": which}],
        "encoding": {"x": _time_axis(labels), "tooltip": words.told()},
    }


def _row_axis(rows: list[str]) -> dict[str, Any]:
    axis = {"title": None, "labels": False, "grid": True, "domain": False, "ticks": False}
    return {
        "field": "row",
        "type": "ordinal",
        "sort": None,
        "scale": {"domain": rows},
        "axis": axis,
    }


def stretch_labels(table: CountTable) -> list[str]:
    """`2025-06`, `2025 Q2` or `2025`: the same beside charts, in tables and in files."""
    match table.grain:
        case "month":
            return [f"{day:%Y-%m}" for day in table.stretches]
        case "quarter":
            return [f"{day.year} Q{(day.month + 2) // 3}" for day in table.stretches]
    return [f"{day.year}" for day in table.stretches]


def _time_axis(labels: list[str]) -> dict[str, Any]:
    return {
        "field": "when",
        "type": "ordinal",
        "sort": None,
        "scale": {"domain": labels},
        "axis": {"title": None, "labelAngle": -60, "grid": False},
    }
