"""Shares with their intervals as a drawing: a bar from limit to limit, a dot at the mean."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from plant.chart_specs import SCHEMA
from plant.charts import BLUE, INK, PAPER

# Narrow enough for a phone held upright.
_WIDTH = 290
_ROW_STEP = 46


@dataclass(frozen=True)
class Share:
    """One row: its words, where it is now and between what, and where it was before, if known."""

    words: str
    mean: float
    lower: float
    upper: float
    before: float | None = None


def shares_by_row(
    shares: Sequence[Share], axis: str, tells: list[dict[str, Any]]
) -> dict[str, Any]:
    """A row for each share, a hollow diamond where it was before; `tells` is what dots say."""
    values = [vars(one) for one in shares]
    row = {
        "field": "words",
        "type": "ordinal",
        "sort": None,
        "axis": {"title": None, "labels": False, "grid": True, "domain": False, "ticks": False},
    }
    across = {
        "type": "quantitative",
        "scale": {"domainMin": 0},
        "axis": {"title": axis, "format": ".0%", "tickCount": 5, "grid": False},
    }
    return {
        "$schema": SCHEMA,
        "data": {"values": values},
        "width": _WIDTH,
        "height": {"step": _ROW_STEP},
        "encoding": {"y": row},
        "layer": [
            # The word stands above its row and not beside it: on a phone there is no beside.
            {
                "mark": {"type": "text", "align": "left", "dy": -14},
                "encoding": {"x": {"value": 0}, "text": {"field": "words"}},
            },
            {
                "mark": {"type": "rule", "stroke": BLUE, "strokeWidth": 3},
                "encoding": {
                    "x": {"field": "lower", **across},
                    "x2": {"field": "upper"},
                },
            },
            {
                "transform": [{"filter": "isValid(datum.before)"}],
                "mark": {
                    "type": "point",
                    "shape": "diamond",
                    "size": 90,
                    "fill": PAPER,
                    "stroke": INK,
                    "opacity": 1,
                },
                "encoding": {"x": {"field": "before", **across}, "tooltip": tells},
            },
            {
                "mark": {"type": "point", "shape": "circle", "size": 70, "fill": BLUE,
                         "stroke": BLUE, "opacity": 1},
                "encoding": {"x": {"field": "mean", **across}, "tooltip": tells},
            },
        ],
    }  # fmt: skip
