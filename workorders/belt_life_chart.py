"""Ages at which the parts of a belt were replaced, and of those still there, as Vega-Lite."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from plant.chart_specs import INK, PAPER, SCHEMA, told

_WIDTH, _NARROW, _ROW_STEP = 560, 240, 78
# Nearer marks would cover each other. [px]
_APART_PX = 21
_BENEATH = 24
_LOOKS: dict[str, dict[str, Any]] = {
    "failed": {"shape": "square", "fill": PAPER, "strokeWidth": 2.4},
    "precaution": {"shape": "circle", "fill": PAPER, "strokeWidth": 1.4},
    # What is still there stands beneath, its number beside it.
    "running": {
        "shape": "triangle-right",
        "fill": PAPER,
        "strokeWidth": 1.4,
        "size": 130,
        "yOffset": _BENEATH,
    },
}


@dataclass(frozen=True)
class LifeMark:
    """`kind` is one of failed, precaution, running; `count` parts of an age. [d]"""

    age: float
    kind: str
    count: int


@dataclass(frozen=True)
class LifeRow:
    words: str
    marks: tuple[LifeMark, ...]


def spec_of(rows: Sequence[LifeRow], *, is_narrow: bool = False) -> dict[str, Any]:
    longest = max((mark.age for row in rows for mark in row.marks), default=1.0) or 1.0
    width = _NARROW if is_narrow else _WIDTH
    apart = longest * _APART_PX / width
    values = [value for row in rows for value in _values(row, apart)]
    names = [row.words for row in rows]
    x = {
        "field": "age",
        "type": "quantitative",
        "scale": {"domain": [0, longest], "nice": True},
        "axis": {"title": _("life (days)"), "tickCount": 6},
    }
    y = {
        "field": "row",
        "type": "ordinal",
        "sort": None,
        "scale": {"domain": names},
        "axis": {"title": None, "labels": False, "ticks": False, "domain": False, "grid": True},
    }
    tooltip = told(("row", _("what")), ("age", _("life (days)"), ".0f"), ("count", _("parts"), "d"))
    point: dict[str, Any] = {"type": "point", "opacity": 1, "stroke": INK, "size": 460}
    points: list[dict[str, Any]] = [
        {
            "mark": {**point, **look},
            "transform": [{"filter": f"datum.kind == '{kind}'"}],
            "encoding": {"x": x, "tooltip": tooltip},
        }
        for kind, look in _LOOKS.items()
    ]
    return {
        "$schema": SCHEMA,
        "data": {"values": values},
        "width": width,
        "height": {"step": _ROW_STEP},
        "encoding": {"y": y},
        "layer": [
            {
                "data": {"values": [{"row": name} for name in names]},
                "mark": {"type": "text", "align": "left", "dy": -22, "limit": 0.86 * width},
                "encoding": {"x": {"value": 0}, "text": {"field": "row"}},
            },
            *points,
            *(_numbers(x, is_running=is_running) for is_running in (False, True)),
        ],
    }


def _numbers(x: dict[str, Any], *, is_running: bool) -> dict[str, Any]:
    beneath = {"align": "left", "xOffset": 9, "yOffset": _BENEATH} if is_running else {}
    return {
        "mark": {"type": "text", "fontWeight": "bold", "fontSize": 12, **beneath},
        "transform": [{"filter": f"datum.kind {'==' if is_running else '!='} 'running'"}],
        "encoding": {"x": x, "text": {"field": "count", "type": "quantitative"}},
    }


def _values(row: LifeRow, apart: float) -> Iterator[dict[str, Any]]:
    """Marks of a kind that would cover each other are one, at their mean age."""
    for kind in _LOOKS:
        ages: Counter[float] = Counter()
        for mark in row.marks:
            if mark.kind == kind:
                ages[mark.age] += mark.count
        group: list[tuple[float, int]] = []
        for age, count in sorted(ages.items()):
            if group and age - group[0][0] >= apart:
                yield _value(row.words, kind, group)
                group = []
            group.append((age, count))
        if group:
            yield _value(row.words, kind, group)


def _value(words: str, kind: str, group: Sequence[tuple[float, int]]) -> dict[str, Any]:
    count = sum(many for _age, many in group)
    age = sum(one * many for one, many in group) / count
    return {"row": words, "kind": kind, "age": age, "count": count}
