"""What the list of condition readings draws: one quantity over time, and the table behind it."""

from typing import Any

from django.utils.translation import gettext as _

from plant.chart_view import NARROW_PX, WIDE_PX, ChartView
from plant.condition_charts import MarkWords, condition_chart, letters
from plant.models.condition_reading import QUANTITY_WORDS


def readings_chart(found: dict[str, Any] | None) -> ChartView | None:
    """Of what `selectors.condition.chart_of` found."""
    if found is None:
        return None
    quantity, points, names = found["quantity"], found["points"], found["names"]
    title = f"{QUANTITY_WORDS[quantity]} [{quantity.unit}]"
    words = MarkWords(at=_("taken"), value=title, where=_("where"))
    wide, narrow = (
        condition_chart(points, names, words, width=width) for width in (WIDE_PX, NARROW_PX)
    )
    return ChartView(
        "over-time",
        _("Over time"),
        wide,
        [words.at, words.value, words.where],
        [[_when(one["at"]), one["value"], one["where"]] for one in points],
        _key(names),
        narrow_spec=narrow,
        zooms=True,
    )


def _when(at: str) -> str:
    return at[:16].replace("T", " ")


def _key(names: list[str]) -> str:
    if len(names) < 2:
        return ""
    return "; ".join(f"{letter} {where}" for where, letter in letters(names).items())
