"""How long mends hold as a drawing: a falling stair for each group, told apart by its dashes."""

from collections.abc import Sequence
from typing import Any

from diagnostics.recurrence.holding import GroupHolding
from plant.chart_specs import BLUE, INK, SCHEMA, telling_places, told

_HEIGHT = 260
# So many stairs an eye can follow; the others stand in the table.
MOST_DRAWN = 4
LETTERS = "ABCD"
_DASHES: tuple[list[int], ...] = ([1, 0], [7, 3], [2, 3], [9, 3, 2, 3])
# Letters at the ends of stairs closer than this would lie on each other. [share]
_APART = 0.07
# More corners no eye tells apart.
_MOST_CORNERS = 300


def stairs(
    groups: Sequence[GroupHolding],
    last: float,
    *,
    names: Sequence[str],
    across: str,
    up: str,
    group: str,
    width: int,
) -> dict[str, Any]:
    """The first groups, up to `last` days; with limits where one or two are drawn."""
    drawn = list(groups)[:MOST_DRAWN]
    layers = [_stair(place, one) for place, one in enumerate(drawn)]
    tells = told(("group", group), ("days", across, ",.0f"), ("share", up, ".0%"))
    layers.append(_told(drawn, names, tells))
    if len(drawn) <= 2:
        layers += [_limit(place, one, name) for place, one in enumerate(drawn) for name in _LIMITS]
    return {
        "$schema": SCHEMA,
        "width": width,
        "height": _HEIGHT,
        "padding": {"left": 2, "right": 22, "top": 12, "bottom": 4},
        "encoding": _axes(last, across, up),
        "layer": [*layers, _letters(drawn)],
    }


_LIMITS = ("lower", "upper")


def corners(group: GroupHolding) -> list[dict[str, float]]:
    """From all holding at 0 to the longest time watched."""
    course = group.course
    every = -(-len(course.time) // _MOST_CORNERS) or 1
    # Counted from the end, so that the last corner is always there.
    places = range((len(course.time) - 1) % every, len(course.time), every)
    found = [{"days": 0.0, "share": 1.0}]
    found += [{"days": float(course.time[k]), "share": float(course.survival[k])} for k in places]
    return [*found, {"days": group.longest, "share": found[-1]["share"]}]


def _stair(place: int, group: GroupHolding) -> dict[str, Any]:
    mark = {"type": "line", "interpolate": "step-after", "stroke": BLUE, "strokeWidth": 2.2}
    return {
        "data": {"values": corners(group)},
        "mark": {**mark, "strokeDash": _DASHES[place], "clip": True},
    }


def _told(
    drawn: Sequence[GroupHolding], names: Sequence[str], tells: list[dict[str, Any]]
) -> dict[str, Any]:
    """What each step of a stair says to somebody who looks closer."""
    values = [
        {**corner, "group": name}
        for one, name in zip(drawn, names, strict=True)
        for corner in corners(one)[1:-1]
    ]
    return {"data": {"values": values}, **telling_places({}, tells)}


def _limit(place: int, group: GroupHolding, name: str) -> dict[str, Any]:
    course = group.course
    values = [
        {"days": float(day), "share": float(limit)}
        for day, limit in zip(course.time, getattr(course, name), strict=True)
        if limit == limit
    ]
    if values:
        values.append({"days": group.longest, "share": values[-1]["share"]})
    mark = {"type": "line", "interpolate": "step-after", "stroke": BLUE, "strokeWidth": 0.9}
    return {
        "data": {"values": values},
        "mark": {**mark, "strokeDash": _DASHES[place], "opacity": 0.7, "clip": True},
    }


def _letters(drawn: Sequence[GroupHolding]) -> dict[str, Any]:
    ends = sorted(
        ((corners(one)[-1], LETTERS[place]) for place, one in enumerate(drawn)),
        key=lambda pair: pair[0]["share"],
    )
    values, floor = [], -1.0
    for end, letter in ends:
        floor = max(end["share"], floor + _APART)
        values.append({**end, "share": floor, "letter": letter})
    return {
        "data": {"values": values},
        "mark": {"type": "text", "align": "left", "dx": 5, "fontWeight": "bold", "fill": INK},
        "encoding": {"text": {"field": "letter"}},
    }


def _axes(last: float, across: str, up: str) -> dict[str, Any]:
    return {
        "x": {
            "field": "days",
            "type": "quantitative",
            "axis": {"title": across, "tickCount": 6, "grid": False, "format": ",.0f"},
            "scale": {"domain": [0, last], "nice": False},
        },
        "y": {
            "field": "share",
            "type": "quantitative",
            "axis": {"title": up, "format": ".0%", "tickCount": 5},
            "scale": {"domain": [0, 1.05], "nice": False},
        },
    }
