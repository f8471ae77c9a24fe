"""Sensor files: time and offset as delimited text, bytes in, samples out.

Files come from many loggers: comma, semicolon or tab, decimal point or comma, seconds or ISO
instants, any line end. Every refusal names the row and column and says what is accepted.
"""

import io
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from diagnostics.inference.watching.samples import Samples
from diagnostics.inference.watching.sensor_columns import (
    ACCEPTED,
    Columns,
    SensorFileError,
    columns_of,
)
from diagnostics.mechanics.nodes import Floats

__all__ = ["MOST_BYTES", "SensorFileError", "read_sensor_file"]

MOST_BYTES = 50_000_000
# A belt farther off than this left the conveyor long ago. [mm]
LARGEST_OFFSET_MM = 20_000.0
# Less than one second is no watch of a belt; ten days. [s]
_SHORTEST_S, LONGEST_S = 1.0, 864_000.0
# A logger writes a few columns with short names; wider rows would fill the memory with empty cells.
_LONGEST_HEADER, _MOST_COLUMNS = 2000, 40
_NO_MARK = frozenset({"", "0", "0.0", "0,0", "no", "false", "n"})
_ROWS_AT_ONCE = 100_000
# Marks this near to each other are one pass of the splice. [s]
_SAME_PASS_S = 1.0
_DECIMAL_COMMA = re.compile(r"\d,\d")


def read_sensor_file(content: bytes) -> Samples:
    """Read a whole sensor file, or refuse it.

    Parameters
    ----------
    content : bytes
        UTF-8 with or without a byte order mark, UTF-16 with one, or Latin-1.

    Returns
    -------
    Samples
        Times from 0, in the order of the file.

    Raises
    ------
    SensorFileError
        Too large, not text, no such columns, a figure that is none, times that run backwards,
        fewer than two samples.
    """
    if len(content) > MOST_BYTES:
        size = len(content) / 1e6
        raise SensorFileError(
            f"the file has {size:.0f} MB; at most {MOST_BYTES / 1e6:.0f} MB are read. Sample more "
            "slowly, ten a second are enough, or send a shorter stretch."
        )
    rows = _rows_of(_text_of(content))
    header, separator = _header_of(rows)
    columns = columns_of(header.split(separator))
    parts = list(_parts(rows, header, separator, columns))
    times = np.concatenate([one.times_s for one in parts]) if parts else np.zeros(0)
    if len(times) < 2:
        raise SensorFileError(
            f"the file holds {len(times)} sample{'' if len(times) == 1 else 's'}; "
            "at least two are needed, and three turns of the belt to tell anything."
        )
    if times[-1] <= times[0]:
        raise SensorFileError("all samples have the same time; the time of each sample is needed.")
    if times[-1] - times[0] < _SHORTEST_S:
        raise SensorFileError(
            f"all samples lie within {times[-1] - times[0]:.3g} s; three turns of the belt are "
            "needed to tell anything. Is the unit of the time in the header right?"
        )
    marked = np.concatenate([one.marked for one in parts])
    offsets = np.concatenate([one.offsets_mm for one in parts])
    return Samples(times - times[0], offsets, _passes_of(times - times[0], marked))


# A line and its number, as an editor shows it.
_Rows = Iterator[tuple[int, str]]


@dataclass(frozen=True)
class _Part:
    """Some rows, read."""

    times_s: Floats
    offsets_mm: Floats
    marked: NDArray[np.bool_]


class _Cells:
    """Some rows below the header, column by column."""

    def __init__(self, rows: list[tuple[int, str]], names: list[str], separator: str) -> None:
        self.numbers, self.names = [number for number, _line in rows], names
        lines = [line for _number, line in rows]
        # Most files hold nothing but rows of the same width: then no line is looked at alone.
        if any(line.count(separator) != len(names) - 1 for line in lines):
            lines = [self._even(line, separator, row) for row, line in enumerate(lines)]
        self.flat = separator.join(lines).split(separator)

    def _even(self, line: str, separator: str, row: int) -> str:
        """A row of the header's width: empty cells at the end may be missing or too many."""
        cells, width = line.split(separator), len(self.names)
        if any(cell.strip() for cell in cells[width:]):
            raise SensorFileError(
                f"row {self.numbers[row]}: {len(cells)} cells, but the header names {width}. "
                "With a decimal comma, part the columns by semicolons."
            )
        return separator.join((cells + [""] * width)[:width])

    def column(self, number: int) -> list[str]:
        return self.flat[number :: len(self.names)]

    def place(self, row: int, column: int) -> str:
        return f"row {self.numbers[row]}, column {self.names[column].strip()[:30]}"


def _rows_of(text: str) -> _Rows:
    """Lines that hold something, whatever their ends."""
    lines = enumerate(io.StringIO(text, newline=None), start=1)
    return ((number, line.rstrip("\n")) for number, line in lines if line.strip(" ,;\t\n"))


def _header_of(rows: _Rows) -> tuple[str, str]:
    _number, first = next(rows, (1, ""))
    if not first:
        raise SensorFileError(f"the file is empty. Accepted: {ACCEPTED}.")
    separator = next((one for one in ("\t", ";", ",") if one in first), ",")
    if len(first) > _LONGEST_HEADER or first.count(separator) >= _MOST_COLUMNS:
        raise SensorFileError(
            f"row 1: the row of names may have at most {_MOST_COLUMNS} columns and "
            f"{_LONGEST_HEADER} letters. Accepted: {ACCEPTED}."
        )
    return first, separator


def _parts(rows: _Rows, header: str, separator: str, columns: Columns) -> Iterator[_Part]:
    """Some rows after another, so that a large file does not stand in memory cell by cell."""
    names = header.split(separator)
    first_s = last_s = None
    while some := list(islice(rows, _ROWS_AT_ONCE)):
        cells = _Cells(some, names, separator)
        times = _times_of(cells, columns)
        first_s = float(times[0]) if first_s is None else first_s
        _check_times(times, first_s, last_s, cells, columns)
        last_s = float(times[-1])
        yield _Part(times, _offsets_of(cells, columns), _marks_of(cells, columns, len(times)))


def _text_of(content: bytes) -> str:
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        encoding = "utf-16"
    elif b"\0" in content:
        raise SensorFileError(f"this is no text file. Accepted: {ACCEPTED}.")
    else:
        encoding = "utf-8-sig"
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        text = content.decode("latin-1")
    if sum(ord(letter) < 32 and letter not in "\t\r\n" for letter in text[:2000]):
        raise SensorFileError(f"this is no text file. Accepted: {ACCEPTED}.")
    return text


def _times_of(cells: _Cells, columns: Columns) -> Floats:
    said = cells.column(columns.time)
    if _is_instant(said[0]):
        return _instants(said, cells, columns)
    return _figures(said, cells, columns.time) * columns.s_per_unit


def _offsets_of(cells: _Cells, columns: Columns) -> Floats:
    offsets = _figures(cells.column(columns.offset), cells, columns.offset) * columns.mm_per_unit
    _check_size(offsets, LARGEST_OFFSET_MM, "mm", cells, columns.offset)
    return offsets


def _figures(said: list[str], cells: _Cells, column: int) -> Floats:
    try:
        found = np.array(said, dtype=float)
    except ValueError:
        found = np.array([_figure(one) for one in said])
    wrong = np.flatnonzero(~np.isfinite(found))
    if len(wrong):
        row = int(wrong[0])
        raise SensorFileError(
            f"{cells.place(row, column)}: {said[row].strip()[:30]!r} is no number; a figure such "
            "as 12.5 or 12,5 is accepted."
        )
    return found


def _figure(cell: str) -> float:
    words = cell.strip().strip("\"'").replace("\N{MINUS SIGN}", "-")
    if _DECIMAL_COMMA.search(words):
        words = words.replace(",", ".")
    try:
        return float(words)
    except ValueError:
        return math.nan


def _is_instant(cell: str) -> bool:
    return bool(re.match(r"\s*[\"']?\d{4}-\d\d-\d\d", cell))


def _instants(said: list[str], cells: _Cells, columns: Columns) -> Floats:
    found = np.empty(len(said))
    for row, cell in enumerate(said):
        words = cell.strip().strip("\"'").replace(",", ".")
        try:
            moment = datetime.fromisoformat(words)
        except ValueError:
            raise SensorFileError(
                f"{cells.place(row, columns.time)}: {cell.strip()[:30]!r} is no date and time; "
                "2026-11-02T14:30:05.250 or seconds are accepted."
            ) from None
        found[row] = (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()
    return found


def _check_size(values: Floats, most: float, unit: str, cells: _Cells, column: int) -> None:
    wrong = np.flatnonzero(np.abs(values) > most)
    if len(wrong):
        row = int(wrong[0])
        raise SensorFileError(
            f"{cells.place(row, column)}: {values[row]:g} {unit} is farther than any belt goes; "
            f"up to {most:g} {unit} are accepted. Is the unit in the header right?"
        )


def _check_times(
    times: Floats, first_s: float, last_s: float | None, cells: _Cells, columns: Columns
) -> None:
    _check_size(times - first_s, LONGEST_S, "s", cells, columns.time)
    before = np.concatenate([[times[0] if last_s is None else last_s], times[:-1]])
    back = np.flatnonzero(times < before)
    if len(back):
        row = int(back[0])
        raise SensorFileError(
            f"{cells.place(row, columns.time)}: time runs backwards, from "
            f"{before[row] - first_s:g} s to {times[row] - first_s:g} s after the first sample. "
            "No row may be earlier than the one above it."
        )


def _marks_of(cells: _Cells, columns: Columns, count: int) -> NDArray[np.bool_]:
    if columns.splice is None:
        return np.zeros(count, dtype=bool)
    said = cells.column(columns.splice)
    return np.array([bool(one) and one.strip().casefold() not in _NO_MARK for one in said])


def _passes_of(times: Floats, marked: NDArray[np.bool_]) -> tuple[float, ...]:
    passes: list[float] = []
    for at_s in times[marked].tolist():
        if not passes or at_s - passes[-1] > _SAME_PASS_S:
            passes.append(at_s)
    return tuple(passes)
