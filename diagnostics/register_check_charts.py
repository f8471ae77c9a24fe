"""The tension along the loop as a Vega-Lite specification; strokes say what colour says.

Full line: loaded; broken line: empty; bars: the tension below which the belt sags too far.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from diagnostics.mechanics.register_check.sagging import SagLimit
from diagnostics.mechanics.register_check.tension_checks import Tensions
from diagnostics.mechanics.register_check.tension_profile import TensionProfile
from plant.chart_specs import SCHEMA, telling_places, told
from plant.charts import AMBER, INK
from plant.loop.parts import Part

# Bars that follow each other at one height would be drawn one over the other.
_MOST_BARS = 200
_HEIGHT = 240
_ROW = 16


@dataclass(frozen=True)
class ChartWords:
    position: str
    tension: str
    place: str
    empty: str
    loaded: str


@dataclass(frozen=True)
class Place:
    """A place of the loop by its name, with the tensions there. [m], [kN]"""

    name: str
    at: float
    empty: float
    loaded: float | None = None


def tension_chart(
    tensions: Tensions, words: ChartWords, places: Sequence[Place] = (), *, width: int
) -> dict[str, Any]:
    """`width` in pixels; heights and letters stay as they are, so that a phone can read them."""
    assert tensions.empty is not None
    layers = [_line(tensions.empty, words, dash=[6, 4])]
    if tensions.loaded is not None:
        layers.append(_line(tensions.loaded, words, dash=[1, 0]))
    layers += _bars(tensions.sag_limits)
    layers += _places(tensions.empty)
    if places:
        layers.append(_told_places(places, words))
    return {
        "$schema": SCHEMA,
        "width": width,
        "height": _HEIGHT,
        "padding": {"left": 2, "right": 8, "top": 4, "bottom": 4},
        "layer": layers,
    }


def _line(profile: TensionProfile, words: ChartWords, *, dash: list[int]) -> dict[str, Any]:
    corners = profile.corners_m()
    tensions_n = profile.at_n(np.array(corners))
    values = [
        {"at": round(at, 3), "kn": round(float(tension) / 1000, 3), "order": number}
        for number, (at, tension) in enumerate(zip(corners, tensions_n, strict=True))
    ]
    x_axis = {"title": words.position, "grid": False, "tickCount": 6}
    return {
        "data": {"values": values},
        "mark": {"type": "line", "stroke": INK, "strokeWidth": 2, "strokeDash": dash},
        "encoding": {
            "x": {
                "field": "at",
                "type": "quantitative",
                "axis": x_axis,
                "scale": {"domain": [0, round(profile.loop.length_m, 3)], "nice": False},
            },
            "y": {"field": "kn", "type": "quantitative", "axis": {"title": words.tension}},
            "order": {"field": "order", "type": "quantitative"},
        },
    }


def _told_places(places: Sequence[Place], words: ChartWords) -> dict[str, Any]:
    tells = told(
        ("name", words.place),
        ("at", words.position, ".1f"),
        ("empty", words.empty, ".2f"),
        *([("loaded", words.loaded, ".2f")] if places[0].loaded is not None else []),
    )
    encoding = {
        "x": {"field": "at", "type": "quantitative"},
        "y": {"field": "empty", "type": "quantitative"},
    }
    values = [vars(one) for one in places]
    return {"data": {"values": values}, **telling_places(encoding, tells)}


def _bars(sag_limits: tuple[SagLimit, ...]) -> list[dict[str, Any]]:
    """Thin where the belt is tight enough; thick and amber where it is not."""
    layers = []
    for asks, look in (
        (False, {"stroke": INK, "strokeWidth": 1.5, "strokeDash": [2, 3]}),
        (True, {"stroke": AMBER, "strokeWidth": 4}),
    ):
        values = [
            {"from": one.from_m, "to": one.to_m, "kn": round(one.tension_n / 1000, 3)}
            for one in sag_limits[:_MOST_BARS]
            if one.asks is asks
        ]
        if values:
            layers.append(
                {
                    "data": {"values": values},
                    "mark": {"type": "rule", **look},
                    "encoding": {
                        "x": {"field": "from", "type": "quantitative"},
                        "x2": {"field": "to"},
                        "y": {"field": "kn", "type": "quantitative"},
                    },
                }
            )
    return layers


def _places(profile: TensionProfile) -> list[dict[str, Any]]:
    """Pulleys by which one finds the way: head, drives and where the tension is known."""
    named = {profile.loop.head_m, profile.known_at_m, *(one.first_m for one in profile.drives)}
    places = [part for part in profile.loop.pulleys if part.first_m in named and part.first_m > 0]
    # To the left of its line a name is clear of the lines of the places behind it.
    roomy_m = profile.loop.length_m / 4
    return [
        layer
        for row, part in enumerate(places)
        for layer in _place(part, row, align="left" if part.first_m < roomy_m else "right")
    ]


def _place(part: Part, row: int, *, align: str) -> list[dict[str, Any]]:
    """A line from a name above the plot; each name has a row of its own."""
    data = {"values": [{"at": part.first_m, "name": part.name}]}
    at = {"x": {"field": "at", "type": "quantitative"}}
    top = -(_ROW * row + 4)
    rule = {"type": "rule", "stroke": INK, "strokeWidth": 0.6, "opacity": 0.6}
    text = {"type": "text", "align": align, "dx": 4 if align == "left" else -4, "dy": -6}
    return [
        {
            "data": data,
            "mark": rule,
            "encoding": {**at, "y": {"value": top - _ROW + 4}, "y2": {"value": _HEIGHT}},
        },
        {
            "data": data,
            "mark": text,
            "encoding": {**at, "y": {"value": top}, "text": {"field": "name"}},
        },
    ]
