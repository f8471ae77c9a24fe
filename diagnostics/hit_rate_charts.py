"""How often the first suggestions were right, and how honest what was stated was, as drawings."""

from collections.abc import Sequence
from typing import Any

from diagnostics.inference.evaluation.calibration import Bin
from diagnostics.inference.evaluation.rates import Rate
from diagnostics.inference.evaluation.verdicts import Named
from plant.chart_specs import SCHEMA
from plant.charts import BLUE, INK, PAPER

_STEP = 34
_SIDE = 270


def rates_over_time(
    rows: Sequence[tuple[str, Named | None]], axis: str, tells: list[dict[str, Any]]
) -> dict[str, Any]:
    """For each stretch of time a dot with its interval, and a diamond for the first three.

    `tells` is what dots and diamonds say.
    """
    labels = [label for label, _named in rows]
    values = [
        {"when": label, **_limits(named.first), "among": named.among.share, "of": named.first.of}
        for label, named in rows
        if named is not None
    ]
    x = {
        "field": "when",
        "type": "ordinal",
        "sort": None,
        "scale": {"domain": labels},
        "axis": {"title": None, "labelAngle": -60, "grid": False},
    }
    y = _share_axis(axis)
    return {
        "$schema": SCHEMA,
        "data": {"values": values},
        "width": {"step": _STEP},
        "height": 200,
        "encoding": {"x": x},
        "layer": [
            {
                "mark": {"type": "rule", "stroke": BLUE, "strokeWidth": 3},
                "encoding": {"y": {"field": "lower", **y}, "y2": {"field": "upper"}},
            },
            {
                "mark": _hollow("diamond"),
                "encoding": {"y": {"field": "among", **y}, "tooltip": tells},
            },
            {"mark": _filled(), "encoding": {"y": {"field": "share", **y}, "tooltip": tells}},
            {
                "mark": {"type": "text"},
                "encoding": {"y": {"value": -10}, "text": {"field": "of"}},
            },
        ],
    }


def calibration(
    bins: Sequence[Bin], stated: str, right: str, tells: list[dict[str, Any]]
) -> dict[str, Any]:
    """What was stated against how often it was right; honest answers lie on the dashed line."""
    values = [
        {"stated": one.mean_stated, **_limits(one.hit_rate), "of": one.hit_rate.of} for one in bins
    ]
    x = {"field": "stated", **_share_axis(stated)}
    y = _share_axis(right)
    return {
        "$schema": SCHEMA,
        "data": {"values": values},
        "width": _SIDE,
        "height": _SIDE,
        "layer": [
            {
                "data": {"values": [{"stated": 0, "share": 0}, {"stated": 1, "share": 1}]},
                "mark": {"type": "line", "stroke": INK, "strokeWidth": 1, "strokeDash": [6, 4]},
                "encoding": {"x": x, "y": {"field": "share", **y}},
            },
            {
                "mark": {"type": "rule", "stroke": BLUE, "strokeWidth": 3},
                "encoding": {"x": x, "y": {"field": "lower", **y}, "y2": {"field": "upper"}},
            },
            {
                "mark": _filled(),
                "encoding": {"x": x, "y": {"field": "share", **y}, "tooltip": tells},
            },
            {
                "mark": {"type": "text", "align": "left", "dx": 9},
                "encoding": {
                    "x": x,
                    "y": {"field": "share", **y},
                    "text": {"field": "of"},
                },
            },
        ],
    }


def _limits(rate: Rate) -> dict[str, float]:
    return {"share": rate.share, "lower": rate.lower, "upper": rate.upper}


def _share_axis(title: str) -> dict[str, Any]:
    return {
        "type": "quantitative",
        "scale": {"domain": [0, 1]},
        "axis": {"title": title, "format": ".0%", "tickCount": 5},
    }


def _filled() -> dict[str, Any]:
    return {"type": "point", "shape": "circle", "size": 70, "fill": BLUE, "stroke": BLUE,
            "opacity": 1}  # fmt: skip


def _hollow(shape: str) -> dict[str, Any]:
    return {"type": "point", "shape": shape, "size": 90, "fill": PAPER, "stroke": INK,
            "opacity": 1}  # fmt: skip
