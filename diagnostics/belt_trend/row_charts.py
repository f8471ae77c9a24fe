"""What the charts of a belt's page share: rows whose words stand above them.

On a phone there is no room beside a row.
"""

from collections.abc import Sequence
from typing import Any

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"
ROW_STEP = 54
_ABOVE = -19


def heads(rows: Sequence[str]) -> dict[str, Any]:
    """The words of each row, from the left edge on."""
    return {
        "data": {"values": [{"row": row} for row in rows]},
        "mark": {"type": "text", "align": "left", "dy": _ABOVE},
        "encoding": {"x": {"value": 0}, "text": {"field": "row"}},
    }


def row_axis(rows: Sequence[str], *, has_grid: bool = False) -> dict[str, Any]:
    axis = {"title": None, "labels": False, "grid": has_grid, "domain": False, "ticks": False}
    scale = {"domain": list(rows)}
    return {"field": "row", "type": "ordinal", "sort": None, "scale": scale, "axis": axis}
