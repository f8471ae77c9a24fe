"""The rows of a status file: CSV with a header, or an object a line (JSON Lines).

UTF-8, with or without its mark, and nothing else: a guess at another would spoil a note silently.
Numbers of rows are those a person sees: of CSV the header is row 1, of JSON Lines the first line.
"""

import codecs
import csv
import io
import json
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from typing import Any

from workorders.status_files.refusals import FileRefused, RowRefused

# Engineering judgement: a busy day of a large plant is some thousand rows.
LARGEST_FILE_BYTES = 10_000_000
MOST_ROWS = 20_000
LONGEST_CELL = 4_000
MOST_COLUMNS = 60
ENDINGS = ("csv", "jsonl", "ndjson")
# What no text has and no column keeps; tabs and line ends may stand in a note.
_UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff]")
# Put there by whoever guards spreadsheets against formulas, as our own files do.
_GUARDED = re.compile("'[=+\\-@\t\r\n＝＋－＠]")


@dataclass(frozen=True)
class RawRow:
    """Cells by column, text or None; `refused` when the row cannot be read at all."""

    number: int
    cells: dict[str, str]
    refused: RowRefused | None = None


def rows_of(content: bytes, name: str) -> list[RawRow]:
    """All rows of a file; raises FileRefused before any of them counts."""
    ending = name.rpartition(".")[2].lower()
    if ending not in ENDINGS:
        raise FileRefused("unknown_ending", accepted=", ".join(f".{one}" for one in ENDINGS))
    if len(content) > LARGEST_FILE_BYTES:
        raise FileRefused("file_too_large", most=LARGEST_FILE_BYTES // 1_000_000)
    text = _text(content)
    rows = _of_table(text) if ending == "csv" else _of_lines(text)
    found: list[RawRow] = []
    for row in rows:
        if len(found) >= MOST_ROWS:
            raise FileRefused("too_many_rows", most=MOST_ROWS)
        found.append(row)
    if not found:
        raise FileRefused("no_rows")
    return found


def _text(content: bytes) -> str:
    try:
        return content.removeprefix(codecs.BOM_UTF8).decode()
    except UnicodeDecodeError as error:
        row = content.count(b"\n", 0, error.start) + 1
        raise FileRefused("not_utf8", row=row) from None


def _of_table(text: str) -> Iterator[RawRow]:
    records = _records(text)
    header = [name.strip() for name in next(records, [])]
    _check_header(header)
    for number, record in enumerate(records, start=2):
        if any(cell.strip() for cell in record):
            yield _row(number, partial(_by_column, header, record))


def _check_header(header: Sequence[str]) -> None:
    if len(header) > MOST_COLUMNS:
        raise FileRefused("too_many_columns", most=MOST_COLUMNS)
    named = [name.casefold() for name in header if name]
    twice = next((name for name in named if named.count(name) > 1), None)
    if twice is not None:
        raise FileRefused("column_twice", column=twice[:60])


def _by_column(header: Sequence[str], record: Sequence[str]) -> dict[str, Any]:
    if len(record) > len(header):
        raise RowRefused("more_cells_than_columns")
    return dict(zip(header, record, strict=False))


def _records(text: str) -> Iterator[list[str]]:
    first = text.partition("\n")[0]
    separator = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    record = 0
    try:
        for row in reader:
            record += 1
            yield row
    except csv.Error:
        raise FileRefused("broken_record", row=record + 1) from None


def _of_lines(text: str) -> Iterator[RawRow]:
    for number, line in enumerate(text.split("\n"), start=1):
        if line.strip():
            yield _row(number, partial(_object, line))


def _object(line: str) -> dict[str, Any]:
    try:
        found = json.loads(
            line,
            parse_float=Decimal,
            parse_constant=_no_number,
            object_pairs_hook=_once,
        )
    except (ValueError, RecursionError) as error:
        if isinstance(error, RowRefused):
            raise
        raise RowRefused("no_json") from None
    if not isinstance(found, dict):
        raise RowRefused("no_object")
    return found


def _no_number(_text: str) -> None:
    raise RowRefused("no_json")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, value in pairs:
        if name in found:
            raise RowRefused("field_twice", name[:60])
        found[name] = value
    return found


def _row(number: int, read: Callable[[], dict[str, Any]]) -> RawRow:
    try:
        cells = {name: _cell(name, value) for name, value in read().items()}
    except RowRefused as refused:
        return RawRow(number, {}, refused)
    return RawRow(number, {name: value for name, value in cells.items() if value})


def _cell(name: str, value: Any) -> str:
    """Text without what stands around it; empty for what is not said."""
    if value is None:
        return ""
    if isinstance(value, bool) or not isinstance(value, str | int | Decimal):
        raise RowRefused("not_plain", name[:60])
    text = _as_text(name, value).strip()
    if len(text) > LONGEST_CELL:
        raise RowRefused("cell_too_long", name[:60], most=LONGEST_CELL)
    if _UNSEEN.search(text) or _UNSEEN.search(name):
        raise RowRefused("unseen_letter", _UNSEEN.sub("", name)[:60])
    return text[1:] if _GUARDED.match(text) else text


def _as_text(name: str, value: str | int | Decimal) -> str:
    try:
        return str(value)
    except ValueError:
        # Python writes out no whole number of thousands of digits.
        raise RowRefused("cell_too_long", name[:60], most=LONGEST_CELL) from None
