"""A chart as pages, files and printed sheets hold it: one specification, one table behind it."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils.safestring import SafeString

from plant import charts


class Linked(str):
    """Words of a cell that lead to a page; in a file they are only words."""

    address: str

    def __new__(cls, words: str, address: str) -> "Linked":
        made = super().__new__(cls, words)
        made.address = address
        return made


Cell = str | int | float | None


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
        A Vega-Lite specification of ours, without `config`; see `plant/charts.py`.
    header, rows : sequences
        The table behind the chart, the same figures as in it; a cell may be `Linked`.
    file_address : str
        Where its CSV is fetched; "" for none.
    """

    slug: str
    heading: str
    spec: dict[str, Any]
    header: Sequence[str]
    rows: Sequence[Sequence[Cell]] = field(default_factory=tuple)
    caption: str = ""
    file_address: str = ""
    lead: str = ""

    @property
    def svg(self) -> SafeString:
        return charts.chart_svg(self.spec)
