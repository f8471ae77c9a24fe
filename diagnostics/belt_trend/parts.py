"""The parts of a belt's page of recurring faults, in order; the room above adds what it knows.

Each part is built from what was asked, in a fixed number of queries, and its table is a file.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from diagnostics.selectors.belt_faults import BeltStudy
from plant.chart_view import Cell, ChartView


@dataclass(frozen=True)
class BuiltPart:
    """A part as the page shows it.

    Attributes
    ----------
    heading : str
    chart : ChartView, optional
        Its picture with the table behind it; None where the part draws itself or has nothing.
    header, rows : sequences
        Its table, where there is no chart.
    missing : str
        Why there is nothing to show, and what to do about it.
    template, context : str, dict
        For a part that draws itself; `part` is added to the context.
    notes : sequence of str
        What must be said about the figures.
    """

    heading: str
    chart: ChartView | None = None
    header: Sequence[str] = ()
    rows: Sequence[Sequence[Cell]] = ()
    missing: str = ""
    template: str = ""
    context: Mapping[str, Any] = field(default_factory=dict)
    notes: Sequence[str] = ()

    @property
    def table(self) -> tuple[Sequence[str], Sequence[Sequence[Cell]]]:
        """As the file holds it."""
        return (self.chart.header, self.chart.rows) if self.chart else (self.header, self.rows)


@dataclass(frozen=True)
class Part:
    """`slug` names its anchor and its file."""

    place: int
    slug: str
    build: Callable[[BeltStudy], BuiltPart]


_parts: dict[str, Part] = {}


def register(part: Part) -> None:
    """Called from an app's `AppConfig.ready`."""
    _parts[part.slug] = part


def parts() -> list[Part]:
    return sorted(_parts.values(), key=lambda part: part.place)


def part_of(slug: str) -> Part | None:
    return _parts.get(slug)
