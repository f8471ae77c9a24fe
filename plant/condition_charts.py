"""A measured quantity over time, drawn by Vega-Lite; each place has its stroke and letter."""

import string
from dataclasses import dataclass
from typing import Any

from plant.chart_specs import SCHEMA, told, told_day
from plant.charts import BLUE, INK

_HEIGHT = 220
_DASHES = ([1, 0], [6, 4], [2, 3], [10, 3, 2, 3], [4, 2], [12, 5])


def letters(names: list[str]) -> dict[str, str]:
    """A letter for each place, in their order."""
    return dict(zip(names, string.ascii_uppercase, strict=False))


@dataclass(frozen=True)
class MarkWords:
    """What a reading tells of itself."""

    at: str
    value: str
    where: str

    def told(self) -> list[dict[str, Any]]:
        # Figures are told as they were read, not rounded.
        return [
            told_day("at", self.at, "%Y-%m-%d %H:%M"),
            *told(("value", self.value, ""), ("where", self.where)),
        ]


def condition_chart(
    points: list[dict[str, Any]], names: list[str], words: MarkWords, *, width: int
) -> dict[str, Any]:
    """`points` hold `at` (the plant's time), `value` and `where`; `names` are the places."""
    layers: list[dict[str, Any]] = []
    for name, dash in zip(names, _DASHES, strict=False):
        mine = sorted((one for one in points if one["where"] == name), key=lambda one: one["at"])
        layers += _line(mine, dash, words)
        if len(names) > 1:
            layers.append(_letter(mine[-1], letters(names)[name]))
    return {
        "$schema": SCHEMA,
        "width": width,
        "height": _HEIGHT,
        "padding": {"left": 2, "right": 16, "top": 6, "bottom": 4},
        "layer": layers,
    }


def _line(points: list[dict[str, Any]], dash: list[int], words: MarkWords) -> list[dict[str, Any]]:
    at = {"field": "at", "type": "temporal", "axis": {"title": None, "grid": False, "tickCount": 4,
                                                      "format": "%Y-%m-%d"}}  # fmt: skip
    value = {
        "field": "value",
        "type": "quantitative",
        "axis": {"title": words.value, "tickCount": 5},
        "scale": {"zero": False, "nice": True},
    }
    fields = ("at", "value", "where")
    data = {"values": [{name: one[name] for name in fields} for one in points]}
    encoding = {"x": at, "y": value}
    return [
        {
            "data": data,
            "mark": {"type": "line", "stroke": BLUE, "strokeWidth": 1.5, "strokeDash": dash},
            "encoding": encoding,
        },
        {
            "data": data,
            "mark": {"type": "point", "stroke": BLUE, "fill": BLUE, "size": 28},
            "encoding": {**encoding, "tooltip": words.told()},
        },
    ]


def _letter(point: dict[str, Any], letter: str) -> dict[str, Any]:
    return {
        "data": {"values": [{"at": point["at"], "value": point["value"], "letter": letter}]},
        "mark": {"type": "text", "align": "left", "dx": 7, "color": INK},
        "encoding": {
            "x": {"field": "at", "type": "temporal"},
            "y": {"field": "value", "type": "quantitative"},
            "text": {"field": "letter"},
        },
    }
