"""Cases counted over time: by month, zone and cause family; pure.

Only counts: what they are divided by, running hours or calendar time, is the caller's.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

# Above so many months a chart counts quarters, above so many quarters years: room for the marks.
MOST_MONTHS = 24
MOST_QUARTERS = 32


class Grain(StrEnum):
    MONTH = "month"
    QUARTER = "quarter"
    YEAR = "year"


@dataclass(frozen=True)
class TrendEvent:
    """A case: the day it was opened in its plant's zone, and what became known of it.

    `zone` and `family` are wire words, empty while nobody confirmed a cause.
    """

    on: date
    zone: str
    family: str
    is_repeat: bool


@dataclass(frozen=True)
class Cell:
    """Cases of one row in one stretch of time, how many of them repeats."""

    cases: int = 0
    repeats: int = 0


@dataclass(frozen=True)
class CountTable:
    """`rows` maps each row's word to one cell for each of the `stretches`, in their order."""

    grain: Grain
    stretches: tuple[date, ...]
    rows: dict[str, tuple[Cell, ...]]

    def total_of(self, row: str) -> Cell:
        cells = self.rows[row]
        return Cell(sum(cell.cases for cell in cells), sum(cell.repeats for cell in cells))


def grain_for(first: date, last: date) -> Grain:
    """The finest grain that leaves a chart of the period readable."""
    months = _month_number(last) - _month_number(first) + 1
    if months <= MOST_MONTHS:
        return Grain.MONTH
    return Grain.QUARTER if months <= MOST_QUARTERS * 3 else Grain.YEAR


def stretches_of(first: date, last: date, grain: Grain) -> tuple[date, ...]:
    """First days of the months, quarters or years that a period touches, in order.

    Raises
    ------
    ValueError
        The period ends before it begins.
    """
    if last < first:
        raise ValueError(f"last must not be before first: {last} is before {first}")
    found = [start_of(first, grain)]
    while (following := _next_start(found[-1], grain)) <= last:
        found.append(following)
    return tuple(found)


def start_of(day: date, grain: Grain) -> date:
    """First day of the month, quarter or year a day lies in."""
    if grain is Grain.YEAR:
        return date(day.year, 1, 1)
    month = day.month if grain is Grain.MONTH else 3 * ((day.month - 1) // 3) + 1
    return date(day.year, month, 1)


def count_all(events: Iterable[TrendEvent], first: date, last: date) -> CountTable:
    """One row, "", for everything together."""
    return _count(((event, "") for event in events), [""], first, last)


def count_by_zone(
    events: Iterable[TrendEvent], first: date, last: date, zones: Sequence[str]
) -> CountTable:
    """A row for each zone that has a case, in the order given; "" comes last."""
    return _count(((event, event.zone) for event in events), zones, first, last)


def count_by_family(
    events: Iterable[TrendEvent], first: date, last: date, families: Sequence[str]
) -> CountTable:
    """A row for each cause family that has a case, in the order given; "" comes last."""
    return _count(((event, event.family) for event in events), families, first, last)


def _count(
    keyed: Iterable[tuple[TrendEvent, str]], order: Sequence[str], first: date, last: date
) -> CountTable:
    grain = grain_for(first, last)
    stretches = stretches_of(first, last, grain)
    cases: Counter[tuple[str, date]] = Counter()
    repeats: Counter[tuple[str, date]] = Counter()
    for event, row in keyed:
        if not first <= event.on <= last:
            continue
        place = (row, start_of(event.on, grain))
        cases[place] += 1
        repeats[place] += event.is_repeat
    found = {row for row, _stretch in cases}
    # A word the order does not know stands behind those it does, unknown ("") last.
    rows = [row for row in order if row in found and row]
    rows += sorted(found - set(order) - {""}) + ([""] if "" in found else [])
    return CountTable(
        grain,
        stretches,
        {row: tuple(Cell(cases[row, one], repeats[row, one]) for one in stretches) for row in rows},
    )


def _next_start(start: date, grain: Grain) -> date:
    months = {Grain.MONTH: 1, Grain.QUARTER: 3, Grain.YEAR: 12}[grain]
    number = _month_number(start) + months
    return date(number // 12, number % 12 + 1, 1)


def _month_number(day: date) -> int:
    return day.year * 12 + day.month - 1
