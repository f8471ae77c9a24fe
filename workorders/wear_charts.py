"""Wear as a drawing: dots as read, the line through them, the limit, the days it may be met."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from plant.chart_specs import SCHEMA, told, told_day
from plant.charts import AMBER, BLUE, INK, PAPER
from workorders.planning.readings import Direction, direction_of
from workorders.selectors.wear import SpotWear

_HEIGHT = 240
# What a line is drawn through: the meter's hours are not even.
_POINTS = 24
_NARROW = 400
# Beyond this the dots would shrink into a corner.
_MOST_AHEAD = 3.0
_FEWEST_AHEAD = timedelta(days=60)


@dataclass(frozen=True)
class ChartWords:
    axis: str
    limit: str
    today: str
    taken: str
    reading: str
    used: str
    aside: str


def wear_chart(spot: SpotWear, words: ChartWords, now: datetime, *, width: int) -> dict[str, Any]:
    """Needs a limit and at least one reading since the last renewal."""
    assert spot.wear is not None
    assert spot.limit.value is not None
    zone = now.tzinfo
    assert isinstance(zone, ZoneInfo)
    first, last = spot.taken[0].at.astimezone(zone), _end(spot, now, zone)
    layers = [
        _limit(first, last, spot.limit.value, words),
        _span(spot, last),
        _line(spot, first, last, zone),
        *_dots(spot, zone, words),
        _now(now, words),
    ]
    return {
        "$schema": SCHEMA,
        "width": width,
        "height": _HEIGHT,
        "padding": {"left": 2, "right": 16, "top": 14, "bottom": 4},
        "layer": [one for one in layers if one],
        "resolve": {"scale": {"x": "shared", "y": "shared"}},
    } | _axes(words, width)


def _axes(words: ChartWords, width: int) -> dict[str, Any]:
    # A day takes some 80 pixels.
    ticks = 4 if width > _NARROW else 2
    return {
        "encoding": {
            "x": {
                "field": "at",
                "type": "temporal",
                "axis": {"title": None, "grid": False, "tickCount": ticks, "format": "%Y-%m-%d"},
            },
            "y": {
                "field": "value",
                "type": "quantitative",
                "axis": {"title": words.axis, "tickCount": 5},
                "scale": {"zero": False, "nice": True},
            },
        }
    }


def _end(spot: SpotWear, now: datetime, zone: ZoneInfo) -> datetime:
    """Up to the day the limit is met and its latest day, if that is not too far."""
    since = max(now - spot.taken[0].at, _FEWEST_AHEAD)
    farthest = now + _MOST_AHEAD * since
    ahead = [now + since / 4]
    for day in (spot.met_on, spot.met_until):
        if day is not None:
            ahead.append(_noon(day, zone))
    return min(max(ahead), farthest)


def _limit(first: datetime, last: datetime, limit: float, words: ChartWords) -> dict[str, Any]:
    values = [{"at": _iso(at), "value": limit} for at in (first, last)]
    dashes = {"strokeDash": [8, 4], "strokeWidth": 1.5}
    return {
        "layer": [
            {"data": {"values": values}, "mark": {"type": "line", "stroke": INK, **dashes}},
            {
                "data": {"values": [{**values[0], "words": words.limit}]},
                "mark": {"type": "text", "align": "left", "dy": -8, "dx": 6},
                "encoding": {"text": {"field": "words"}},
            },
        ],
    }


def _span(spot: SpotWear, last: datetime) -> dict[str, Any] | None:
    """The days on which the limit may be met, thick on its line, open where no end is known."""
    if spot.met_from is None or spot.limit.value is None:
        return None
    zone = last.tzinfo
    assert isinstance(zone, ZoneInfo)
    until = last if spot.met_until is None else min(_noon(spot.met_until, zone), last)
    first = min(_noon(spot.met_from, zone), last)
    value = {"at": _iso(first), "until": _iso(until), "value": spot.limit.value}
    return {
        "data": {"values": [value]},
        "mark": {"type": "rule", "stroke": AMBER, "strokeWidth": 7, "opacity": 0.7},
        "encoding": {"x2": {"field": "until"}},
    }


def _line(spot: SpotWear, first: datetime, last: datetime, zone: ZoneInfo) -> dict[str, Any] | None:
    wear = spot.wear
    if wear is None or wear.rate is None or wear.margin is None or spot.limit.value is None:
        return None
    falls = direction_of(spot.key.quantity) is Direction.FALLS
    sign = 1.0 if falls else -1.0
    values = []
    for step in range(_POINTS + 1):
        at = first + step * (last - first) / _POINTS
        left = wear.margin - wear.rate * (spot.clock.hours_at(at) - spot.now_h)
        values.append({"at": _iso(at.astimezone(zone)), "value": spot.limit.value + sign * left})
    return {
        "data": {"values": values},
        "mark": {"type": "line", "stroke": INK, "strokeWidth": 1.5, "clip": True},
    }


def _dots(spot: SpotWear, zone: ZoneInfo, words: ChartWords) -> list[dict[str, Any]]:
    assert spot.wear is not None
    aside = {(one.at, one.value) for one in spot.wear.set_aside}
    used: list[dict[str, Any]] = []
    off: list[dict[str, Any]] = []
    for one in spot.taken:
        value: dict[str, Any] = {"at": _iso(one.at.astimezone(zone)), "value": one.value}
        is_aside = (one.hours, one.value) in aside
        value["said"] = words.aside if is_aside else words.used
        (off if is_aside else used).append(value)
    tells = [
        told_day("at", words.taken, "%Y-%m-%d %H:%M"),
        *told(("value", words.axis, ""), ("said", words.reading)),
    ]
    dots: list[dict[str, Any]] = [
        {
            "data": {"values": used},
            "mark": {"type": "point", "stroke": BLUE, "fill": BLUE, "size": 40, "opacity": 1},
            "encoding": {"tooltip": tells},
        }
    ]
    if off:
        mark = {"type": "point", "shape": "diamond", "stroke": BLUE, "fill": PAPER, "size": 90}
        dots.append(
            {
                "data": {"values": off},
                "mark": {**mark, "opacity": 1},
                "encoding": {"tooltip": tells},
            }
        )
    return dots


def _now(now: datetime, words: ChartWords) -> dict[str, Any]:
    return {
        "data": {"values": [{"at": _iso(now), "words": words.today}]},
        "encoding": {"y": {"value": 0}},
        "layer": [
            {
                "mark": {"type": "rule", "stroke": INK, "strokeWidth": 1, "strokeDash": [1, 3]},
                "encoding": {"y2": {"value": _HEIGHT}},
            },
            {
                "mark": {"type": "text", "align": "right", "dx": -4, "dy": 5},
                "encoding": {"text": {"field": "words"}},
            },
        ],
    }


def _noon(day: date, zone: ZoneInfo) -> datetime:
    return datetime(day.year, day.month, day.day, 12, tzinfo=zone)


def _iso(at: datetime) -> str:
    return f"{at:%Y-%m-%dT%H:%M:%S}"
