"""What the charts of a belt's page share: rows whose words stand above them.

On a phone there is no room beside a row.
"""

from collections.abc import Sequence
from typing import Any

from plant.chart_specs import SCHEMA

__all__ = ["ROW_STEP", "SCHEMA", "heads", "row_axis"]

ROW_STEP = 54
_ABOVE = -21
# Letters of the page may be wider than those the drawing reckons with.
_FITS = 0.86


def heads(rows: Sequence[str], width: int) -> dict[str, Any]:
    """The words of each row, from the left edge on; longer ones end in an ellipsis."""
    return {
        "data": {"values": [{"row": row} for row in rows]},
        "mark": {"type": "text", "align": "left", "dy": _ABOVE, "limit": _FITS * width},
        "encoding": {"x": {"value": 0}, "text": {"field": "row"}},
    }


def row_axis(rows: Sequence[str], *, has_grid: bool = False) -> dict[str, Any]:
    axis = {"title": None, "labels": False, "grid": has_grid, "domain": False, "ticks": False}
    scale = {"domain": list(rows)}
    return {"field": "row", "type": "ordinal", "sort": None, "scale": scale, "axis": axis}
