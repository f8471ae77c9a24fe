"""A chart as pages, files and printed sheets hold it: one specification, one table behind it."""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.http import HttpResponse
from django.utils.formats import number_format
from django.utils.safestring import SafeString

from plant import chart_specs, charts, exports


class Linked(str):
    """Words of a cell that lead to a page; in a file they are only words."""

    address: str

    def __new__(cls, words: str, address: str) -> "Linked":
        made = super().__new__(cls, words)
        made.address = address
        return made


Cell = str | int | float | None

# More rows than a page or two nobody reads; the file has them all.
_MOST_ROWS = 200
_DECIMALS = 3
_DASH = "\N{EN DASH}"
_FIGURE = re.compile(r"[<>=≤≥±+\-\N{MINUS SIGN}]?\s?\d|\N{EN DASH}$")
# Beside a telephone's edge no room is left for a sheet's width.
NARROW_PX, WIDE_PX = 268, 720


@dataclass(frozen=True)
class CellShown:
    """`address` is "" where the cell leads nowhere."""

    words: str
    is_number: bool
    address: str = ""


@dataclass(frozen=True)
class Shown:
    """One drawing of a chart; `size` is "" where the same one is shown everywhere."""

    size: str
    svg: SafeString
    spec: dict[str, Any]


@dataclass(frozen=True)
class ChartView:
    """What plant/parts/chart.html shows.

    Attributes
    ----------
    slug : str
        Unique on its page: names anchors and the file of the table.
    heading, caption : str
        The caption says how to read the marks; "" for none.
    lead : str
        What the chart comes to, in a sentence or two above it; "" for none.
    spec : dict
        A Vega-Lite specification of ours, without `config`; see `plant/charts.py`. Bars, points
        and rectangles tell their encoded fields when pointed at; `chart_specs.told` as `tooltip`
        of an encoding says it in words.
    header, rows : sequences
        The table behind the chart, the same figures as in it; a cell may be `Linked`.
    file_address : str
        Where its CSV is fetched; "" for none. See `plant/chart_files.py`.
    narrow_spec : dict or None
        The same drawn for a telephone, at most `NARROW_PX` wide; without it the one drawing
        scrolls in its frame.
    zooms : bool
        Somebody may look nearer along the axis across, which must be a quantity or a time.
    """

    slug: str
    heading: str
    spec: dict[str, Any]
    header: Sequence[str]
    rows: Sequence[Sequence[Cell]] = field(default_factory=tuple)
    caption: str = ""
    file_address: str = ""
    lead: str = ""
    narrow_spec: dict[str, Any] | None = None
    zooms: bool = False

    @property
    def svg(self) -> SafeString:
        return charts.chart_svg(self.spec)

    @property
    def print_svg(self) -> str:
        """For a printed sheet: ink on white, in the sheets' letters; `spec`'s pixels wide."""
        return charts.print_svg(self.spec)

    def for_sheet(self) -> dict[str, Any]:
        """All that a typesetter's template needs, as plain JSON."""
        return {
            "heading": self.heading,
            "caption": self.caption,
            "svg": self.print_svg,
            "header": list(self.header),
            "lead": self.lead,
            "rows": [[cell.words for cell in row] for row in _in_words(self.rows)],
            "numbers": _number_columns(self.rows),
        }

    def drawn(self) -> Iterator[Shown]:
        """The drawings of the page, each with what the page explores it by."""
        wide = "" if self.narrow_spec is None else "wide"
        yield self._shown(wide, self.spec)
        if self.narrow_spec is not None:
            yield self._shown("narrow", self.narrow_spec)

    def _shown(self, size: str, spec: dict[str, Any]) -> Shown:
        return Shown(size, charts.chart_svg(spec), chart_specs.explored(spec, zooms=self.zooms))

    @property
    def first_rows(self) -> list[list[CellShown]]:
        return _in_words(self.rows[:_MOST_ROWS])

    @property
    def rows_left_out(self) -> int:
        return max(len(self.rows) - _MOST_ROWS, 0)

    def file(self) -> HttpResponse:
        """The whole table as CSV, under the chart's own name."""
        return exports.csv_response(self.slug, self.header, self.rows)


def _in_words(rows: Sequence[Sequence[Cell]]) -> list[list[CellShown]]:
    return [[_cell(one) for one in row] for row in rows]


def _cell(cell: Cell) -> CellShown:
    if isinstance(cell, str):
        # Figures come in words, too, with their unit; what has none is a dash.
        return CellShown(cell, bool(_FIGURE.match(cell)), getattr(cell, "address", ""))
    if cell is None or not math.isfinite(cell):
        return CellShown(_DASH, True)
    return CellShown(
        number_format(cell if isinstance(cell, int) else _rounded(cell), force_grouping=True), True
    )


def _number_columns(rows: Sequence[Sequence[Cell]]) -> list[bool]:
    """Of each column whether it holds figures, told by its first row."""
    return [one.is_number for one in _in_words(rows[:1])[0]] if rows else []


def _rounded(figure: float) -> str:
    """Three decimals, and of what is smaller three figures: nothing becomes 0 that is not."""
    size = abs(figure)
    decimals = _DECIMALS if size >= 1 or size == 0 else _DECIMALS - 1 - math.floor(math.log10(size))
    kept = f"{figure:.{decimals}f}"
    return kept.rstrip("0").rstrip(".") if "." in kept else kept
