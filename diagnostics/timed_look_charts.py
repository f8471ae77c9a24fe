"""A timed look as a Vega-Lite specification: the fold of a log, the ways over of taps.

Shape and words say what colour says: the band is from the least to the most of the turns, the line
their mean; a dashed rule is a splice, a bold one the place that travels.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from plant.chart_specs import SCHEMA, telling_places, told
from plant.charts import AMBER, BLUE, INK

_WIDTH, _HEIGHT = 640, 240


@dataclass(frozen=True)
class Mark:
    """A rule across the picture and its word."""

    at: float
    word: str


@dataclass(frozen=True)
class Stretch:
    """One stretch of the fold: where, mean, least and most of the turns [mm], in how many."""

    at: float
    mean_mm: float
    least_mm: float
    most_mm: float
    turns: int


@dataclass(frozen=True)
class Over:
    """One way over: where, in which turn, the word for its side."""

    at: float
    turn: int
    side: str
    is_right: bool


@dataclass(frozen=True)
class MarkWords:
    """What a place of the picture tells of itself."""

    at: str
    mean: str
    least: str
    most: str
    turn: str
    side: str


@dataclass(frozen=True)
class Along:
    """The axis along the belt: its title and how far it goes."""

    title: str
    most: float


def fold_chart(
    stretches: Sequence[Stretch],
    along: Along,
    marks: Sequence[Mark],
    place: Mark | None,
    title: str,
    words: MarkWords,
) -> dict[str, Any]:
    """The fold: band and mean along the belt."""
    values = [
        {"at": one.at, "mean": one.mean_mm, "least": one.least_mm, "most": one.most_mm}
        for one in stretches
    ]
    across = {"type": "quantitative", "axis": {"title": title}}
    tells = told(
        ("at", words.at, ".1f"),
        ("mean", words.mean, ".0f"),
        ("least", words.least, ".0f"),
        ("most", words.most, ".0f"),
    )
    return _picture(
        values,
        along,
        [
            {
                "mark": {"type": "area", "color": BLUE, "opacity": 0.22, "line": False},
                "encoding": {"y": {"field": "least", **across}, "y2": {"field": "most"}},
            },
            {
                "mark": {"type": "line", "color": BLUE, "strokeWidth": 2},
                "encoding": {"y": {"field": "mean", **across}},
            },
            telling_places({"y": {"field": "mean", **across}}, tells),
            {
                "mark": {"type": "rule", "color": INK, "opacity": 0.5},
                "data": {"values": [{"zero": 0}]},
                "encoding": {
                    "y": {"field": "zero", **across},
                    "x": {"value": 0},
                    "x2": {"value": _WIDTH},
                },
            },
        ],
        marks,
        place,
    )


def taps_chart(
    overs: Sequence[Over],
    turns: int,
    along: Along,
    marks: Sequence[Mark],
    place: Mark | None,
    title: str,
    words: MarkWords,
) -> dict[str, Any]:
    """Every way over, turn by turn below each other: what travels stands in a column."""
    values = [
        {"at": one.at, "turn": one.turn, "side": one.side, "right": one.is_right} for one in overs
    ]
    shape = {
        "condition": {"test": "datum.right", "value": "triangle-right"},
        "value": "triangle-left",
    }
    down = {
        "field": "turn",
        "type": "quantitative",
        "scale": {"domain": [max(turns, 1) + 0.5, 0.5]},
        "axis": {"title": title, "values": list(range(1, turns + 1)), "format": "d"},
    }
    tells = told(("turn", words.turn, "d"), ("at", words.at, ".1f"), ("side", words.side))
    points = {
        "mark": {"type": "point", "size": 160, "filled": True, "color": BLUE, "opacity": 1},
        "encoding": {"y": down, "shape": shape, "tooltip": tells},
    }
    sides = {
        "mark": {"type": "text", "align": "left", "dx": 14, "color": INK},
        "encoding": {"y": down, "text": {"field": "side"}},
    }
    return _picture(values, along, [points, sides], marks, place)


def _picture(
    values: list[dict[str, Any]],
    along: Along,
    layers: list[dict[str, Any]],
    marks: Sequence[Mark],
    place: Mark | None,
) -> dict[str, Any]:
    axis = {
        "field": "at",
        "type": "quantitative",
        "scale": {"domain": [0, along.most], "nice": False},
        "axis": {"title": along.title, "grid": False},
    }
    drawn = [
        layer
        if "x" in layer["encoding"]
        else {**layer, "encoding": {"x": axis, **layer["encoding"]}}
        for layer in layers
    ]
    rules = _rules(marks, axis, {"strokeDash": [4, 3], "color": INK}, dy=-6)
    rules += _rules([place] if place else [], axis, {"strokeWidth": 2.5, "color": AMBER}, dy=-20)
    return {
        "$schema": SCHEMA,
        "data": {"values": values},
        "width": _WIDTH,
        "height": _HEIGHT,
        "layer": [*drawn, *rules],
    }


def _rules(
    marks: Sequence[Mark], axis: dict[str, Any], look: dict[str, Any], *, dy: int
) -> list[dict[str, Any]]:
    if not marks:
        return []
    data = {"values": [{"at": one.at, "word": one.word} for one in marks]}
    return [
        {"data": data, "mark": {"type": "rule", **look}, "encoding": {"x": axis}},
        {
            "data": data,
            "mark": {"type": "text", "baseline": "bottom", "dy": dy, "color": look["color"]},
            "encoding": {"x": axis, "y": {"value": 0}, "text": {"field": "word"}},
        },
    ]
