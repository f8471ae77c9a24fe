"""A CSV file of lives: columns `age` and `failed`, optionally `count`; others are ignored.

Rows are counted as a spreadsheet does, the row of column names included. One bad row refuses the
file: a life left out silently would change every figure.
"""

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass

from workorders.planning.lives import Lives

# Far above any store of lives; whoever has more puts equal ages together by `count`.
MOST_ROWS = 1_000_000
# Up to here floats hold every integer, with room for the sum over a file.
MOST_OF_A_COUNT = 10**12
_NEEDED, _OPTIONAL = ("age", "failed"), "count"
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
# int() and float() of longer texts take time or fail; no count or age needs them.
_LONGEST_NUMBER = 60
_SHOWN = 40


class LifeFileError(ValueError):
    """The file cannot be read as lives; the text names row and field."""


@dataclass(frozen=True)
class LifeFile:
    """`blank_counts` rows left their `count` blank and are taken as one life each."""

    lives: Lives
    blank_counts: int


@dataclass(frozen=True)
class _Row:
    number: int
    fields: dict[str, str]

    def refuse(self, field: str, must: str) -> LifeFileError:
        value = self.fields[field]
        got = f"got {shown(value)}" if value else "it is blank"
        return LifeFileError(f"row {self.number}: {field}: must be {must}; {got}.")


def read_lives(content: bytes) -> LifeFile:
    """The lives of a file, or LifeFileError in one line."""
    blank_counts = 0
    seen: list[tuple[float, bool, int]] = []
    for row in _rows(content):
        if len(seen) == MOST_ROWS:
            raise LifeFileError(
                f"row {row.number}: age: more than {MOST_ROWS} rows; put equal ages together in "
                f"one row with a count."
            )
        blank_counts += not row.fields.get(_OPTIONAL, "1")
        seen.append((_age(row), _failed(row), _count(row)))
    if not seen:
        raise LifeFileError("row 2: age: missing; at least one life is needed.")
    return LifeFile(Lives.of(seen), blank_counts)


def number_in(text: str) -> float | None:
    """A plain decimal number; None for anything else, also for NaN, infinity and 1_000."""
    if len(text) > _LONGEST_NUMBER or not _NUMBER.fullmatch(text):
        return None
    return float(text)


def shown(text: str) -> str:
    """A value in quotes, shortened, fit for one line."""
    return repr(text if len(text) <= _SHOWN else text[:_SHOWN] + "...")


def _age(row: _Row) -> float:
    age = number_in(row.fields["age"])
    if age is None or not 0 < age < float("inf"):
        raise row.refuse("age", "a number above 0, with a decimal point")
    return age


def _failed(row: _Row) -> bool:
    text = row.fields["failed"]
    if text not in ("0", "1"):
        raise row.refuse("failed", "1 (failed) or 0 (taken out, or still running)")
    return text == "1"


def _count(row: _Row) -> int:
    text = row.fields.get(_OPTIONAL, "") or "1"
    is_integer = text.isascii() and text.isdigit() and len(text) <= _LONGEST_NUMBER
    if not is_integer or not 1 <= int(text) <= MOST_OF_A_COUNT:
        raise row.refuse(_OPTIONAL, f"an integer from 1 to {MOST_OF_A_COUNT}")
    return int(text)


def _rows(content: bytes) -> Iterator[_Row]:
    """Rows of values by column; blank ones are left out but counted."""
    columns: list[str] | None = None
    for number, cells in _records(content):
        if not any(cells):
            continue
        if columns is None:
            columns = _columns(number, cells)
            continue
        if any(cells[len(columns) :]):
            raise LifeFileError(
                f"row {number}: {shown(cells[len(columns)])}: a value without a column; decimals "
                f"have a point, and text with a comma stands in quotes."
            )
        cells += [""] * (len(columns) - len(cells))
        fields = dict(zip(columns, cells, strict=False))
        yield _Row(number, {name: fields[name] for name in (*_NEEDED, _OPTIONAL) if name in fields})
    if columns is None:
        raise LifeFileError("row 1: age: missing; the file is empty.")


def _columns(number: int, cells: list[str]) -> list[str]:
    names = [cell.lower() for cell in cells]
    for name in _NEEDED:
        if name not in names:
            raise LifeFileError(
                f"row {number}: {name}: no such column; the first row names columns, separated "
                f"by commas: age, failed and, if wanted, count."
            )
    for name in (*_NEEDED, _OPTIONAL):
        if names.count(name) > 1:
            raise LifeFileError(f"row {number}: {name}: two columns have this name.")
    return names


def _records(content: bytes) -> Iterator[tuple[int, list[str]]]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        row = content.count(b"\n", 0, error.start) + 1
        raise LifeFileError(f"row {row}: the file is not text in UTF-8.") from error
    number = 0
    try:
        for number, cells in enumerate(csv.reader(io.StringIO(text, ""), strict=True), start=1):
            yield number, [cell.strip() for cell in cells]
    except csv.Error as error:
        raise LifeFileError(f"row {number + 1}: not CSV: {error}.") from error
