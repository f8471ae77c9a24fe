"""Cases summed up over the days, with the campaign, the change and both rates drawn in."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any

from plant.chart_specs import BLUE, INK, SCHEMA, telling_places, told, told_day

_HEIGHT = 240


@dataclass(frozen=True)
class Point:
    """Cases up to and with a day."""

    on: date
    so_far: int


@dataclass(frozen=True)
class Marks:
    """What is drawn over the stair; a part that cannot be told is empty or None.

    `rates` are straight lines from a day and a sum to a day and a sum.
    """

    rates: Sequence[tuple[date, float, date, float]]
    campaign: tuple[date, date] | None
    change: tuple[date, date, date] | None


def summed_up(
    points: Sequence[Point],
    marks: Marks,
    first: date,
    last: date,
    *,
    width: int,
    words: dict[str, str],
) -> dict[str, Any]:
    """`words` name the axis up, the campaign and the change."""
    top = max([1, *(one.so_far for one in points)]) * 1.12
    layers = [*_campaign(marks, top, words), _stair(points, first, last), _told(points, words)]
    layers += [_rate(one) for one in marks.rates]
    layers += _change(marks, words)
    return {
        "$schema": SCHEMA,
        "width": width,
        "height": _HEIGHT,
        "padding": {"left": 2, "right": 12, "top": 16, "bottom": 4},
        "encoding": {
            "x": {
                "field": "on",
                "type": "temporal",
                "axis": {"title": None, "format": "%Y-%m", "tickCount": 5, "grid": False},
                # From the stair's first day to its last: a domain set here would be made twice,
                # once as instants and once, for the bands, as numbers.
                "scale": {"type": "utc", "nice": False},
            },
            "y": {
                "field": "cases",
                "type": "quantitative",
                "axis": {"title": words["up"], "tickMinStep": 1, "format": "d", "tickCount": 5},
                "scale": {"domain": [0, top], "nice": False},
            },
        },
        "layer": layers,
    }


def _stair(points: Sequence[Point], first: date, last: date) -> dict[str, Any]:
    values = [{"on": _at(first), "cases": 0}]
    values += [{"on": _at(one.on), "cases": one.so_far} for one in points]
    values.append({"on": _at(last), "cases": values[-1]["cases"]})
    mark = {"type": "line", "interpolate": "step-after", "stroke": BLUE, "strokeWidth": 2.2}
    return {"data": {"values": values}, "mark": mark}


def _told(points: Sequence[Point], words: dict[str, str]) -> dict[str, Any]:
    """What each step of the stair says to somebody who looks closer."""
    values = [{"on": _at(one.on), "cases": one.so_far} for one in points]
    tells = [told_day("on", words["day"]), *told(("cases", words["up"], "d"))]
    return {"data": {"values": values}, **telling_places({}, tells)}


def _rate(line: tuple[date, float, date, float]) -> dict[str, Any]:
    first, low, last, high = line
    values = [{"on": _at(first), "cases": low}, {"on": _at(last), "cases": high}]
    mark = {"type": "line", "stroke": INK, "strokeWidth": 1.4, "strokeDash": [6, 4]}
    return {"data": {"values": values}, "mark": mark}


def _campaign(marks: Marks, top: float, words: dict[str, str]) -> list[dict[str, Any]]:
    """A hatched upright band, as wide as it lasted; one day still shows as a line."""
    if marks.campaign is None:
        return []
    begin, end = (_at(day) for day in marks.campaign)
    values = [{"on": begin, "until": end, "cases": top, "words": words["campaign"]}]
    band = {"type": "rect", "fill": INK, "fillOpacity": 0.14, "stroke": INK, "strokeWidth": 1}
    return [
        {
            "data": {"values": values},
            "mark": band,
            "encoding": {
                "x2": {"field": "until"},
                "y": {"value": 0},
                "y2": {"value": _HEIGHT},
                "tooltip": [told_day("on", words["campaign"])],
            },
        },
        {
            "data": {"values": values},
            "mark": {"type": "text", "align": "left", "dx": 0, "dy": -8},
            "encoding": {"y": {"value": 0}, "text": {"field": "words"}},
        },
    ]


def _change(marks: Marks, words: dict[str, str]) -> list[dict[str, Any]]:
    """Along the foot: the days among which the change lies, a diamond at the likeliest."""
    if marks.change is None:
        return []
    lower, likeliest, upper = (_at(day) for day in marks.change)
    foot = {"value": _HEIGHT - 7}
    return [
        {
            "data": {"values": [{"on": lower, "until": upper, "words": words["change"]}]},
            "mark": {"type": "rule", "stroke": BLUE, "strokeWidth": 4},
            "encoding": {"x2": {"field": "until"}, "y": foot},
        },
        {
            "data": {"values": [{"on": likeliest}]},
            "mark": {"type": "point", "shape": "diamond", "size": 130, "fill": BLUE, "opacity": 1},
            "encoding": {"y": foot, "tooltip": [told_day("on", words["change"])]},
        },
    ]


def _at(day: date) -> int:
    """Milliseconds since 1970 began in UTC, so that a day is that day wherever it is read."""
    return int(datetime.combine(day, time(), tzinfo=UTC).timestamp() * 1000)
