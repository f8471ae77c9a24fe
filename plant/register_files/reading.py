"""A register file as rows with values, each with the reasons why a cell of it is refused."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import chain, islice
from typing import Any
from zoneinfo import ZoneInfo

from plant.loop.condition import Quantity, cannot_be
from plant.register_files import limits, units
from plant.register_files.cells import (
    Formula,
    check_plain,
    choice_of,
    is_empty,
    lines_of,
    list_of,
    plain,
    text_of,
    yes_or_no,
)
from plant.register_files.columns import Column, Kind, Sheet
from plant.register_files.figures import Figure, Marks, figure_of, marks_of
from plant.register_files.headers import (
    Header,
    Placed,
    has_keys,
    header_of,
    likeness,
    sheet_like,
)
from plant.register_files.moments import day_of, moment_of
from plant.register_files.packages import is_package
from plant.register_files.refusals import CellRefused, FileRefused, Reason
from plant.register_files.sheets import BY_CODE, SHEETS
from plant.register_files.tables import Row, Table
from plant.register_files.text_tables import text_table
from plant.register_files.workbooks import Workbook

_FIGURES = (Kind.FIGURE, Kind.DECIMAL, Kind.COUNT, Kind.MEASURED)
_MOST_COUNT = 1_000_000
_BLANK = b"\x00 \t\r\n\xef\xbb\xbf\xff\xfe"
# Larger ones are refused by their field, and as decimals would have no end of digits.
_MOST_DECIMAL = 1e12


@dataclass(slots=True)
class ParsedRow:
    """`values` hold the fields whose columns are in the file; None where a cell is empty."""

    number: int
    values: dict[str, Any]
    reasons: list[Reason] = field(default_factory=list)


@dataclass(frozen=True)
class ParsedSheet:
    sheet: Sheet
    title: str
    header: Header
    rows: list[ParsedRow]


@dataclass(frozen=True)
class ParsedFile:
    """`remarks` say what of the file was not read."""

    sheets: list[ParsedSheet]
    remarks: list[Reason]


Tick = Callable[[int], None]


def read_file(
    content: bytes, zone: ZoneInfo, *, sheet: str = "", tick: Tick = lambda _rows: None
) -> ParsedFile:
    """All sheets of a file, in the order in which they depend on each other.

    Parameters
    ----------
    content : bytes
        A workbook, or a table as text.
    zone : ZoneInfo
        The plant's, in which clock times are meant.
    sheet : str
        Code of the sheet a text file is; found out from its columns when empty.
    tick : callable
        Told now and then how many rows were read; may raise to stop.

    Raises
    ------
    FileRefused
        Nothing of the file can be used.
    """
    if not content.strip(_BLANK):
        raise FileRefused("empty_file")
    if len(content) > limits.LARGEST_FILE_BYTES:
        raise FileRefused("file_too_large", most=limits.LARGEST_FILE_BYTES // 1_000_000)
    if not is_package(content):
        return _parsed([text_table(content)], {}, zone, BY_CODE.get(sheet), tick)
    book = Workbook(content)
    try:
        return _parsed(book.tables(), book.merged, zone, None, tick)
    finally:
        book.close()


def read_sheet(content: bytes, sheet: Sheet, zone: ZoneInfo, *, most: int) -> ParsedSheet:
    """The rows of a sheet that is none of the register's; of a workbook the first that is like it.

    Somebody waits for it, so that it goes no further than `most` rows.

    Raises
    ------
    FileRefused
        Nothing of the file can be used, or it has more rows.
    """
    if not content.strip(_BLANK):
        raise FileRefused("empty_file")
    if not is_package(content):
        return _sheet_in([text_table(content)], {}, sheet, zone, most)
    book = Workbook(content)
    try:
        return _sheet_in(book.tables(), book.merged, sheet, zone, most)
    finally:
        book.close()


def _sheet_in(
    tables: list[Table],
    merged: dict[str, list[tuple[str, int]]],
    sheet: Sheet,
    zone: ZoneInfo,
    most: int,
) -> ParsedSheet:
    for table in tables:
        start = list(islice(table.rows, limits.HEADER_WITHIN_ROWS))
        places = [place for place, (_no, cells) in enumerate(start) if has_keys(sheet, cells)]
        if not places:
            continue
        number, cells = start[places[0]]
        header = header_of(sheet, table.title or sheet.title, number, cells)
        _refuse_merged(table.title or sheet.title, merged.get(table.title, []), header)
        rows = chain(start[places[0] + 1 :], table.rows)
        parsed = _rows(header, rows, zone, lambda _rows: None, most)
        if not parsed:
            raise FileRefused("no_rows")
        return ParsedSheet(sheet, table.title or sheet.title, header, parsed)
    raise FileRefused("no_header_found")


def _parsed(
    tables: list[Table],
    merged: dict[str, list[tuple[str, int]]],
    zone: ZoneInfo,
    wanted: Sheet | None,
    tick: Tick,
) -> ParsedFile:
    remarks: list[Reason] = []
    found: dict[str, ParsedSheet] = {}
    for table in tables:
        start = list(islice(table.rows, limits.HEADER_WITHIN_ROWS))
        sheet = wanted or _sheet_titled(table.title) or _sheet_of(start)
        if sheet is None:
            if start:
                remarks.append(Reason("sheet_not_read", values={"sheet": table.title}))
            continue
        if sheet.code in found:
            raise FileRefused("sheet_twice", sheet=table.title, other=found[sheet.code].title)
        header, rest = _header(sheet, table, start)
        _refuse_merged(table.title or sheet.title, merged.get(table.title, []), header)
        rows = _rows(header, chain(rest, table.rows), zone, tick)
        found[sheet.code] = ParsedSheet(sheet, table.title or sheet.title, header, rows)
        if header.unread:
            told = {"sheet": table.title or sheet.title, "columns": ", ".join(header.unread[:20])}
            remarks.append(Reason("columns_not_read", values=told))
    if not any(one.rows for one in found.values()):
        raise FileRefused("no_rows" if found else "no_header_found")
    ordered = [found[sheet.code] for sheet in SHEETS if sheet.code in found]
    return ParsedFile(ordered, remarks)


def _sheet_titled(title: str) -> Sheet | None:
    said = plain(title)
    return next((one for one in SHEETS if said in {plain(one.title), one.code}), None)


def _sheet_of(rows: list[Row]) -> Sheet | None:
    found = (sheet_like(cells) for _number, cells in rows)
    return next((sheet for sheet in found if sheet), None)


def _header(sheet: Sheet, table: Table, start: list[Row]) -> tuple[Header, list[Row]]:
    """The row of most known columns is the header; what stands above it is no data."""
    if not start:
        raise FileRefused("sheet_empty", sheet=table.title or sheet.title)
    fitting = [index for index, (_no, cells) in enumerate(start) if sheet_like(cells) is sheet]
    best = (
        fitting[0]
        if fitting
        else max(range(len(start)), key=lambda index: (likeness(start[index][1]), -index))
    )
    number, cells = start[best]
    return header_of(sheet, table.title, number, cells), start[best + 1 :]


def _refuse_merged(title: str, ranges: list[tuple[str, int]], header: Header) -> None:
    inside = [cells for cells, last_row in ranges if last_row >= header.row_number]
    if inside:
        raise FileRefused("merged_cells", sheet=title, cells=", ".join(inside[:5]))


def _rows(
    header: Header, rows: Iterator[Row], zone: ZoneInfo, tick: Tick, most: int = limits.MOST_ROWS
) -> list[ParsedRow]:
    held = []
    for number, cells in rows:
        # What is commented out is an explanation of the template, as is its own header again.
        if not (isinstance(cells[0], str) and cells[0].lstrip("'").startswith("#")):
            held.append((number, cells))
        if len(held) > most:
            raise FileRefused("too_many_rows", sheet=header.sheet.title, most=most)
        if not number % 500:
            tick(len(held))
    figures = [one.index for one in header.placed if one.column.kind in _FIGURES]
    marks = marks_of(
        cells[index] for _number, cells in held for index in figures if index < len(cells)
    )
    parsed = []
    while held:
        # Taken from behind and turned round, so that no row is held twice.
        number, cells = held.pop()
        parsed.append(_row(header, number, cells, zone, marks))
        if not len(parsed) % 500:
            tick(len(parsed))
    parsed.reverse()
    return parsed


def _row(header: Header, number: int, cells: list[Any], zone: ZoneInfo, marks: Marks) -> ParsedRow:
    row = ParsedRow(number, {})
    for placed in header.placed:
        cell = cells[placed.index] if placed.index < len(cells) else None
        try:
            row.values[placed.column.field] = _value(placed, cell, zone, marks)
        except CellRefused as refused:
            column = f"{placed.letters} “{placed.header}”"
            row.reasons.append(Reason(refused.code, column, refused.values))
    extra = _beyond(header, cells)
    if extra is not None:
        row.reasons.append(extra)
    if header.sheet.code == "readings":
        _measure(header, row)
    return row


def _beyond(header: Header, cells: list[Any]) -> Reason | None:
    """A row longer than its header: most often an unquoted separator, which shifts its cells."""
    if len(cells) <= header.width:
        return None
    return Reason("row_too_long", values={"count": len(cells), "known": header.width})


def _value(placed: Placed, cell: Any, zone: ZoneInfo, marks: Marks) -> Any:
    column = placed.column
    if is_empty(cell) and not isinstance(cell, Formula):
        if column.is_needed:
            raise CellRefused("needed")
        return None
    match column.kind:
        case Kind.FIGURE | Kind.DECIMAL:
            return _figure(placed, figure_of(cell, marks))
        case Kind.MEASURED:
            figure = figure_of(cell, marks)
            return Figure(figure.value, figure.unit or placed.unit)
        case Kind.COUNT:
            return _count(figure_of(cell, marks))
        case Kind.DAY:
            return day_of(cell)
        case Kind.MOMENT:
            return moment_of(cell, zone)
    return _of_words(column, cell)


def _of_words(column: Column, cell: Any) -> Any:
    check_plain(cell)
    match column.kind:
        case Kind.CHOICE:
            return choice_of(cell, column.known_choices)
        case Kind.YES_NO:
            return yes_or_no(cell)
        case Kind.WORDS:
            return list_of(cell)
        case Kind.LINES:
            return lines_of(text_of(cell))
    return text_of(cell) or None


def _figure(placed: Placed, figure: Figure) -> Any:
    unit, wanted = figure.unit or placed.unit, placed.column.unit
    if unit and not wanted:
        raise CellRefused("no_unit_here", unit=unit[:20])
    value = units.converted(figure.value, unit, wanted) if unit else figure.value
    if placed.column.kind is Kind.DECIMAL and abs(value) < _MOST_DECIMAL:
        return Decimal(f"{value:.{placed.column.places}f}")
    return value


def _count(figure: Figure) -> int:
    if figure.unit and figure.unit.casefold() not in {"pcs", "sets", "set", "no", "no."}:
        raise CellRefused("no_unit_here", unit=figure.unit[:20])
    if not figure.value.is_integer() or abs(figure.value) > _MOST_COUNT:
        raise CellRefused("not_whole", cell=f"{figure.value:g}")
    return int(figure.value)


def _measure(header: Header, row: ParsedRow) -> None:
    """The value of a reading in the unit of its quantity."""
    said = row.values.pop("unit", None)
    figure = row.values.get("value")
    if not isinstance(figure, Figure) or row.values.get("quantity") is None:
        return
    quantity = Quantity(row.values["quantity"])
    try:
        unit = figure.unit or said
        value = units.converted(figure.value, unit, quantity.unit) if unit else figure.value
        if quantity.is_grade and cannot_be(quantity, value):
            raise CellRefused("not_a_grade", cell=f"{value:g}")
        row.values["value"] = value
    except CellRefused as refused:
        row.values.pop("value")
        named = next((one for one in header.placed if one.column.field == "value"), None)
        column = f"{named.letters} “{named.header}”" if named else ""
        row.reasons.append(Reason(refused.code, column, refused.values))
