"""How long each mend of a belt held, as a Vega-Lite specification: a line for each."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from plant.chart_specs import AMBER, INK, PAPER, SCHEMA, told
from plant.days import whole_days

_WIDTH, _ROW_STEP = 560, 34
_NARROW = 250
# Beside a telephone's edge there is no room for a method's whole name.
_LETTERS, _FEW_LETTERS = 70, 34


@dataclass(frozen=True)
class Bar:
    """`words` name the mend; `held_days` up to its return, or as far as it was watched."""

    number: str
    words: str
    held_days: float
    came_back: bool


def spec_of(bars: Sequence[Bar], window_days: float, *, is_narrow: bool = False) -> dict[str, Any]:
    values = [_value(bar, _FEW_LETTERS if is_narrow else _LETTERS) for bar in bars]
    y = {
        "field": "order",
        "type": "ordinal",
        "sort": None,
        "scale": {"domain": [bar.number for bar in bars]},
        "axis": {"title": None, "labels": False, "ticks": False, "domain": False},
    }
    x: dict[str, Any] = {
        "field": "held",
        "type": "quantitative",
        "scale": {"domain": [0, max(window_days, *(bar.held_days for bar in bars))]},
        "axis": {"title": _("days since the proof passed"), "grid": True, "tickCount": 6},
    }
    tooltip = told(("order", _("order")), ("words", _("mend")), ("days", _("held (days)")))
    point: dict[str, Any] = {"type": "point", "opacity": 1, "fill": PAPER, "strokeWidth": 2}
    back: dict[str, Any] = {**point, "shape": "diamond", "size": 170, "stroke": AMBER}
    holds: dict[str, Any] = {**point, "shape": "triangle-right", "size": 90, "stroke": INK}
    points: list[dict[str, Any]] = [
        {
            "mark": {**look, "yOffset": 5},
            "transform": [{"filter": f"datum.back == {came_back}"}],
            "encoding": {"x": x, "tooltip": tooltip},
        }
        for look, came_back in ((back, 1), (holds, 0))
    ]
    return {
        "$schema": SCHEMA,
        "data": {"values": values},
        "width": _NARROW if is_narrow else _WIDTH,
        "height": {"step": _ROW_STEP},
        "encoding": {"y": y},
        "layer": [
            {
                "mark": {"type": "text", "align": "left", "dy": -10},
                "encoding": {"x": {"value": 0}, "text": {"field": "label"}},
            },
            {
                "mark": {"type": "rule", "color": INK, "strokeWidth": 1.5, "yOffset": 5},
                "encoding": {"x": {**x, "field": "proved"}, "x2": {"field": "held"}},
            },
            *points,
        ],
    }


def _value(bar: Bar, letters: int) -> dict[str, Any]:
    label = f"{bar.number} {bar.words}"
    short = label if len(label) <= letters else f"{label[: letters - 1].rstrip()}…"
    return {
        "order": bar.number,
        "words": bar.words,
        "label": short,
        "proved": 0,
        "held": bar.held_days,
        # Whole days that are over, as wherever it is said how long a mend held.
        "days": whole_days(bar.held_days),
        "back": int(bar.came_back),
    }
