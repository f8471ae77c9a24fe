"""The time line of a belt as a Vega-Lite specification: a row a cause family, a row a kind of part.

What lies too close together to be drawn apart becomes one mark with a number.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.utils.translation import gettext as _

from diagnostics.belt_trend import row_charts
from plant.chart_specs import told, told_day
from plant.charts import AMBER, INK, PAPER

WIDTH, NARROW = 600, 250
# Nearer marks would cover each other. [px]
_APART_PX = 15.5
_TICK = "M-1,0.1L-0.3,0.8L1,-0.8"
_SIZES = {"one": 150, "more": 430}


@dataclass(frozen=True)
class Seen:
    """Something on a day; `words` say which."""

    on: date
    is_repeat: bool
    words: str


@dataclass(frozen=True)
class Hold:
    """From the day a mend passed its proof to the day its fault was back."""

    first: date
    last: date


@dataclass(frozen=True)
class Row:
    words: str
    seen: Sequence[Seen] = ()
    proofs: Sequence[date] = ()
    holds: Sequence[Hold] = ()
    made_new: Sequence[Seen] = ()


def spec_of(rows: Sequence[Row], first: date, last: date, *, width: int = WIDTH) -> dict[str, Any]:
    """`first` and `last` are the ends of the axis."""
    apart = timedelta(days=max(1.0, ((last - first).days + 1) * _APART_PX / width))
    domain = [first.isoformat(), (last + timedelta(days=1)).isoformat()]
    return {
        "$schema": row_charts.SCHEMA,
        "width": width,
        "height": {"step": row_charts.ROW_STEP},
        "data": {"values": []},
        "encoding": {"y": row_charts.row_axis([row.words for row in rows], has_grid=True)},
        "layer": [
            row_charts.heads([row.words for row in rows], width),
            _holds(rows),
            _proofs(rows, domain),
            *_marks(list(_grouped(rows, apart))),
        ],
    }


def _holds(rows: Sequence[Row]) -> dict[str, Any]:
    values = [
        {"row": row.words, "day": hold.first.isoformat(), "until": hold.last.isoformat()}
        for row in rows
        for hold in row.holds
    ]
    return {
        "data": {"values": values},
        "mark": {"type": "rule", "color": AMBER, "strokeWidth": 1.5},
        "encoding": {
            "x": _time_axis(),
            "x2": {"field": "until"},
        },
    }


def _proofs(rows: Sequence[Row], domain: list[str]) -> dict[str, Any]:
    values = [
        {"row": row.words, "day": day.isoformat()}
        for row in rows
        for day in sorted(set(row.proofs))
    ]
    return {
        "data": {"values": values},
        "mark": {
            "type": "point",
            "shape": _TICK,
            "size": 90,
            "stroke": INK,
            "strokeWidth": 2,
            "opacity": 1,
            # Beneath the line, clear of the case that it follows by a few days.
            "yOffset": 15,
        },
        "encoding": {
            "x": {**_time_axis(), "scale": {"type": "utc", "domain": domain}},
            "tooltip": [*told(("row", _("row"))), told_day("day", _("mend proved"))],
        },
    }


def _grouped(rows: Sequence[Row], apart: timedelta) -> Iterator[dict[str, Any]]:
    for row in rows:
        for is_new, found in ((False, row.seen), (True, row.made_new)):
            for group in _near(found, apart):
                yield _value(row.words, group, "new" if is_new else "")


def _near(found: Iterable[Seen], apart: timedelta) -> Iterator[list[Seen]]:
    group: list[Seen] = []
    for one in sorted(found, key=lambda seen: seen.on):
        if group and one.on - group[0].on >= apart:
            yield group
            group = []
        group.append(one)
    if group:
        yield group


def _value(row: str, group: Sequence[Seen], kind: str) -> dict[str, Any]:
    first, last = group[0].on, group[-1].on
    repeats = sum(one.is_repeat for one in group)
    return {
        "row": row,
        "day": (first + (last - first) / 2).isoformat(),
        "kind": kind or ("again" if repeats else "first"),
        "count": len(group),
        "number": str(len(group)) if len(group) > 1 else "",
        "which": ", ".join(one.words for one in group[:12]) + (" …" if len(group) > 12 else ""),
    }


def _marks(values: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    looks: dict[str, dict[str, Any]] = {
        "first": {"shape": "circle", "fill": PAPER, "stroke": INK},
        "again": {"shape": "diamond", "fill": PAPER, "stroke": AMBER, "strokeWidth": 2.5},
        "new": {"shape": "square", "fill": PAPER, "stroke": INK},
    }
    for kind, look in looks.items():
        for size, is_one in (("one", True), ("more", False)):
            chosen = [
                one for one in values if one["kind"] == kind and (one["count"] == 1) is is_one
            ]
            if chosen:
                area = _SIZES[size] * (1.35 if kind == "again" else 1)
                yield _point(chosen, {**look, "size": area})
    numbered = [one for one in values if one["number"]]
    yield {
        "data": {"values": numbered},
        "mark": {"type": "text", "fontWeight": "bold"},
        "encoding": {"x": _time_axis(), "text": {"field": "number"}},
    }


def _point(values: list[dict[str, Any]], look: dict[str, Any]) -> dict[str, Any]:
    return {
        "data": {"values": values},
        "mark": {"type": "point", "opacity": 1, "strokeWidth": 1.8, **look},
        "encoding": {
            "x": _time_axis(),
            "tooltip": [
                *told(("row", _("row")), ("which", _("which"))),
                told_day("day", _("day")),
                *told(("count", _("how many"), "d")),
            ],
        },
    }


def _time_axis() -> dict[str, Any]:
    """In UTC, so that a day without a time stays that day wherever the chart is read.

    One layer alone sets the ends: those of several would be taken for a conflict.
    """
    return {
        "field": "day",
        "type": "temporal",
        "scale": {"type": "utc"},
        "axis": {
            "title": None,
            "format": "%Y-%m",
            "labelAngle": -60,
            "grid": False,
            "tickCount": {"expr": "width / 34"},
        },
    }
