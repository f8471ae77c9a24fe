"""Files of events and of ends as other programs write them; refused by row and field.

Comma-separated text in UTF-8, a first row of column names; unknown columns are ignored, blank rows
too. Rows are counted by the lines of the file, the names in row 1.
"""

import csv
import io
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from diagnostics.recurrence.histories import Counts, Floats

# Digits of other scripts and words such as nan, which Python would read, are no figures here.
_FIGURE = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
# Sums and squares of times stay far from the largest figure there is.
LARGEST_TIME = 1e15
_LONGEST_NAME = 200
_LONGEST_SHOWN = 40


class TrendFileError(ValueError):
    """Says row, field and the accepted form."""


@dataclass(frozen=True, eq=False)
class EventRows:
    """Events in the order of the file: index into `names`, time, row."""

    names: tuple[str, ...]
    unit: Counts
    time: Floats
    row: Counts

    @property
    def repeated(self) -> int:
        """Rows that say what an earlier row said."""
        both = np.column_stack((self.unit.astype(float), self.time))
        return len(both) - len(np.unique(both, axis=0))


def read_events(content: bytes) -> EventRows:
    """Events of a file with the columns unit and time.

    Raises
    ------
    TrendFileError
        The first row that is wrong.
    """
    names: dict[str, int] = {}
    units: list[int] = []
    times: list[float] = []
    rows: list[int] = []
    for row, name, figure in _rows(content, "time"):
        units.append(names.setdefault(name, len(names)))
        times.append(figure)
        rows.append(row)
    return EventRows(
        tuple(names), np.array(units, np.int64), np.array(times, float), np.array(rows, np.int64)
    )


def read_ends(content: bytes) -> dict[str, float]:
    """End of watching by unit, of a file with the columns unit and end.

    Raises
    ------
    TrendFileError
        The first row that is wrong, also of a unit that has an end already, or no row at all.
    """
    ends: dict[str, float] = {}
    for row, name, figure in _rows(content, "end"):
        if name in ends:
            raise TrendFileError(f"row {row}: unit: {shown(name)} has an end already.")
        ends[name] = figure
    if not ends:
        raise TrendFileError("row 2: unit: the file names no unit.")
    return ends


def figure_of(text: str) -> float:
    """A time above 0; ValueError says what is wrong with it."""
    text = text.strip()
    if not text:
        raise ValueError("is missing")
    if not _FIGURE.fullmatch(text):
        raise ValueError(f"is {shown(text)}, not a number such as 12.5")
    figure = float(text)
    if not figure > 0:
        raise ValueError(f"is {shown(text)}, and must be above 0")
    if not (math.isfinite(figure) and figure <= LARGEST_TIME):
        raise ValueError(f"is {shown(text)}, and must not be above {LARGEST_TIME:g}")
    return figure


def shown(text: str) -> str:
    """In quotes, short, and with what cannot be printed escaped."""
    short = text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + "..."
    return '"' + "".join(one if one.isprintable() else ascii(one)[1:-1] for one in short) + '"'


def _rows(content: bytes, field: str) -> Iterator[tuple[int, str, float]]:
    """Row, unit and figure of each row that is not blank."""
    records = _records(content)
    row, head = next(records, (1, []))
    at_unit, at_figure = _columns(head, field)
    for row, fields in records:
        if any(one.strip() for one in fields[len(head) :]):
            raise TrendFileError(
                f"row {row}: {field}: there are {len(fields)} fields, and the first row names "
                f"{len(head)} columns; a decimal comma is not understood."
            )
        name = _unit(row, fields, at_unit)
        try:
            figure = figure_of(fields[at_figure] if at_figure < len(fields) else "")
        except ValueError as error:
            raise TrendFileError(f"row {row}: {field}: it {error}.") from error
        yield row, name, figure


def _records(content: bytes) -> Iterator[tuple[int, list[str]]]:
    """Rows that hold something, with the line each begins in."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        row = content.count(b"\n", 0, error.start) + 1
        raise TrendFileError(f"row {row}: text: the file is not UTF-8.") from error
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    row = 1
    try:
        for fields in reader:
            if any(one.strip() for one in fields):
                yield row, fields
            row = reader.line_num + 1
    except csv.Error as error:
        raise TrendFileError(f"row {row}: text: it is no comma-separated row ({error}).") from error


def _columns(head: list[str], field: str) -> tuple[int, int]:
    names = [one.strip().casefold() for one in head]
    for wanted in ("unit", field):
        if names.count(wanted) != 1:
            how = "twice" if wanted in names else "not"
            raise TrendFileError(
                f"row 1: {wanted}: the first row must name the columns unit and {field}, separated "
                f"by commas; it names {wanted} {how}: {shown(','.join(head))}."
            )
    return names.index("unit"), names.index(field)


def _unit(row: int, fields: list[str], at: int) -> str:
    name = fields[at].strip() if at < len(fields) else ""
    if not name:
        raise TrendFileError(f"row {row}: unit: it is missing.")
    if len(name) > _LONGEST_NAME or not name.isprintable():
        raise TrendFileError(
            f"row {row}: unit: {shown(name)} is no name of at most {_LONGEST_NAME} printable signs."
        )
    return name
