"""Sensor files: time and offset as delimited text, bytes in, samples out.

Files come from many loggers: comma, semicolon or tab, decimal point or comma, seconds or ISO
instants, any line end. Every refusal names the row and column and says what is accepted.
"""

import math
import re
from datetime import UTC, datetime

import numpy as np

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
# Ten days. [s]
LONGEST_S = 864_000.0
_NO_MARK = frozenset({"", "0", "0.0", "0,0", "no", "false", "n"})
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
    text = _text_of(content)
    first, separator = _header_of(text)
    columns = columns_of(first.split(separator))
    cells = _Cells(text, separator, len(first.split(separator)))
    times = _times_of(cells, columns)
    offsets = _offsets_of(cells, columns)
    if len(times) < 2:
        raise SensorFileError(
            f"the file holds {len(times)} sample{'' if len(times) == 1 else 's'}; "
            "at least two are needed, and three turns of the belt to tell anything."
        )
    _check_order(times, cells, columns)
    passes = _passes_of(cells, columns, times)
    return Samples(times - times[0], offsets, passes)


class _Cells:
    """The rows below the header, column by column; row numbers as an editor shows them."""

    def __init__(self, text: str, separator: str, width: int) -> None:
        lines = text.splitlines()
        # Most files hold nothing but rows of the same width: then no line is looked at alone.
        kept = [(number, line) for number, line in enumerate(lines, start=1) if line.strip(" ,;\t")]
        self.numbers = [number for number, _line in kept[1:]]
        self.names = kept[0][1].split(separator)
        body = [line for _number, line in kept[1:]]
        ragged = next(
            (place for place, line in enumerate(body) if line.count(separator) != width - 1), None
        )
        if ragged is not None:
            body = [self._even(line, separator, width, place) for place, line in enumerate(body)]
        joined = separator.join(body)
        self.flat = joined.split(separator) if body else []
        self.width = width

    def _even(self, line: str, separator: str, width: int, place: int) -> str:
        """A row of the header's width: empty cells at the end may be missing or too many."""
        cells = line.split(separator)
        over = [cell for cell in cells[width:] if cell.strip()]
        if over:
            raise SensorFileError(
                f"row {self.numbers[place]}: {len(cells)} cells, but the header names {width}. "
                "With a decimal comma, part the columns by semicolons."
            )
        return separator.join((cells + [""] * width)[:width])

    def column(self, number: int) -> list[str]:
        return self.flat[number :: self.width]

    def place(self, row: int, column: int) -> str:
        return f"row {self.numbers[row]}, column {self.names[column].strip()[:30]}"


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


def _header_of(text: str) -> tuple[str, str]:
    first = next((line for line in text.splitlines()[:50] if line.strip(" ,;\t")), "")
    if not first:
        raise SensorFileError(f"the file is empty. Accepted: {ACCEPTED}.")
    separator = next((one for one in ("\t", ";", ",") if one in first), ",")
    return first, separator


def _times_of(cells: _Cells, columns: Columns) -> Floats:
    said = cells.column(columns.time)
    if said and _is_instant(said[0]):
        return _instants(said, cells, columns)
    seconds = _figures(said, cells, columns.time) * columns.s_per_unit
    _check_size(seconds - (seconds[0] if len(seconds) else 0), LONGEST_S, "s", cells, columns.time)
    return seconds


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
    _check_size(found - found[0], LONGEST_S, "s", cells, columns.time)
    return found


def _check_size(values: Floats, most: float, unit: str, cells: _Cells, column: int) -> None:
    wrong = np.flatnonzero(np.abs(values) > most)
    if len(wrong):
        row = int(wrong[0])
        raise SensorFileError(
            f"{cells.place(row, column)}: {values[row]:g} {unit} is farther than any belt goes; "
            f"up to {most:g} {unit} are accepted. Is the unit in the header right?"
        )


def _check_order(times: Floats, cells: _Cells, columns: Columns) -> None:
    back = np.flatnonzero(np.diff(times) < 0)
    if len(back):
        row = int(back[0]) + 1
        raise SensorFileError(
            f"{cells.place(row, columns.time)}: time runs backwards, from {times[row - 1]:g} s to "
            f"{times[row]:g} s. Every row must be later than the one above it, or at the same time."
        )
    if times[-1] <= times[0]:
        raise SensorFileError(
            f"{cells.place(len(times) - 1, columns.time)}: all samples have the same time; the "
            "time of each sample is needed."
        )


def _passes_of(cells: _Cells, columns: Columns, times: Floats) -> tuple[float, ...]:
    if columns.splice is None:
        return ()
    said = cells.column(columns.splice)
    passes: list[float] = []
    for row, cell in enumerate(said):
        if cell and cell.strip().casefold() not in _NO_MARK:
            at_s = float(times[row] - times[0])
            if not passes or at_s - passes[-1] > _SAME_PASS_S:
                passes.append(at_s)
    return tuple(passes)
