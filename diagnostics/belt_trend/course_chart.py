"""The course of a belt and of the plant's average belt as a Vega-Lite specification."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext as _

from diagnostics.recurrence.faults.plant import Course
from plant.chart_specs import AMBER, INK, PAPER, SCHEMA, told

if TYPE_CHECKING:
    from diagnostics.belt_trend.mean_course import OwnStep

WIDTH, NARROW = 540, 220
_HEIGHT = 300
# A line of more cases would be all marks.
_MOST_MARKS = 60


def spec_of(
    steps: Sequence["OwnStep"],
    course: Course,
    begin: float,
    last: float,
    *,
    tag: str,
    across: str,
    width: int,
) -> dict[str, Any]:
    """From `begin` to `last` of exposure; the plant's course from 0 on."""
    # Time goes on while somebody looks: rounded, the drawing is not a new one every second.
    begin, last = round(begin, 1), max(round(last, 1), 0.1)
    plant = [one for one in _plant_points(course) if one["time"] <= last]
    own = _own_points(steps, begin, last)
    ends = [{**own[-1], "word": tag}]
    if plant:
        plant.append({**plant[-1], "time": last})
        ends.append({**plant[-1], "word": _("plant")})
    x = {
        "field": "time",
        "type": "quantitative",
        "scale": {"domain": [0, last], "nice": False},
        "axis": {"title": across, "grid": False, "tickCount": 6, "format": ",.0f"},
    }
    y = {
        "field": "cases",
        "type": "quantitative",
        "axis": {"title": _("cases up to then"), "tickMinStep": 1, "tickCount": 6},
    }
    line = {"type": "line", "interpolate": "step-after", "color": INK}
    return {
        "$schema": SCHEMA,
        "width": width,
        "height": _HEIGHT,
        "data": {"values": own},
        "encoding": {"x": x},
        "layer": [
            {
                "data": {"values": [one for one in plant if one["upper"] is not None]},
                "mark": {
                    "type": "area",
                    "interpolate": "step-after",
                    "color": INK,
                    "opacity": 0.13,
                },
                "encoding": {"y": {**y, "field": "lower"}, "y2": {"field": "upper"}},
            },
            {
                "data": {"values": plant},
                "mark": {**line, "strokeWidth": 1.5, "strokeDash": [5, 4]},
                "encoding": {"y": y},
            },
            {"mark": {**line, "strokeWidth": 2.6}, "encoding": {"y": y}},
            *_marks(steps, y),
            {
                "data": {"values": ends},
                "mark": {"type": "text", "align": "left", "dx": 6, "fontWeight": "bold"},
                "encoding": {"y": y, "text": {"field": "word"}},
            },
        ],
    }


def _plant_points(course: Course) -> list[dict[str, Any]]:
    begin = [{"time": 0.0, "cases": 0.0, "lower": 0.0, "upper": 0.0}] if course.time else []
    rows = zip(course.time, course.mcf, course.lower, course.upper, strict=True)
    return begin + [
        {"time": round(time, 1), "cases": mcf, "lower": lower, "upper": upper}
        for time, mcf, lower, upper in rows
    ]


def _own_points(steps: Sequence["OwnStep"], begin: float, last: float) -> list[dict[str, Any]]:
    return [
        {"time": begin, "cases": 0},
        *({"time": round(step.time, 1), "cases": step.so_far} for step in steps),
        {"time": last, "cases": len(steps)},
    ]


def _marks(steps: Sequence["OwnStep"], y: dict[str, Any]) -> list[dict[str, Any]]:
    """A mark for each case while there is room for them."""
    values = [
        {
            "time": round(step.time, 1),
            "cases": step.so_far,
            "number": step.fault.number,
            "day": step.fault.on.isoformat(),
            "again": int(step.fault.is_repeat),
        }
        for step in steps
        if len(steps) <= _MOST_MARKS
    ]
    tooltip = told(("number", _("case")), ("day", _("opened")), ("cases", _("so far"), "d"))
    looks: list[tuple[int, dict[str, Any]]] = [
        (0, {"shape": "circle", "size": 60, "stroke": INK}),
        (1, {"shape": "diamond", "size": 110, "stroke": AMBER}),
    ]
    return [
        {
            "data": {"values": [one for one in values if one["again"] == again]},
            "mark": {"type": "point", "fill": PAPER, "opacity": 1, "strokeWidth": 2, **look},
            "encoding": {"y": y, "tooltip": tooltip},
        }
        for again, look in looks
    ]
