"""Tables of the register as files that `reading` takes back unchanged."""

import csv
import io
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from plant.register_files.cells import neutral, written
from plant.register_files.columns import Column, Kind, Sheet
from plant.register_files.moments import written_moment

Values = Mapping[str, Any]
# A row that begins so is an explanation; no tag and no name of a plant does.
NOT_READ = "# "
_WIDTH = 16


def csv_bytes(sheet: Sheet, rows: Iterable[Values], zone: ZoneInfo) -> bytes:
    """One sheet as UTF-8 with its mark, so that spreadsheet programs read it rightly."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow([column.written_header for column in sheet.columns])
    for row in rows:
        writer.writerow(["" if cell is None else cell for cell in _cells(sheet, row, zone)])
    return ("\ufeff" + text.getvalue()).encode()


def workbook_bytes(sheets: Iterable[tuple[Sheet, Iterable[Values]]], zone: ZoneInfo) -> bytes:
    """Sheets as one workbook, written row by row."""
    import openpyxl
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = openpyxl.Workbook(write_only=True)
    for sheet, rows in sheets:
        page = book.create_sheet(sheet.title)
        page.freeze_panes = "A2"
        for place in range(1, len(sheet.columns) + 1):
            page.column_dimensions[get_column_letter(place)].width = _WIDTH
        header = [WriteOnlyCell(page, column.written_header) for column in sheet.columns]
        for cell in header:
            cell.font = Font(bold=True)
        page.append(header)
        for row in rows:
            page.append(_cells(sheet, row, zone))
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def example_rows(sheet: Sheet) -> list[Values]:
    """What a template says under its header; no row of it is read."""
    first, *others = sheet.columns
    told = {column.field: _told(column) for column in others} | {
        first.field: NOT_READ + "What is asked for; rows that begin with # are not read."
    }
    example = {column.field: column.example for column in others} | {
        first.field: NOT_READ + "An example."
    }
    return [told, example]


def _told(column: Column) -> str:
    words = {
        Kind.CHOICE: " | ".join(column.choices.values()),
        Kind.YES_NO: "yes | no",
        Kind.DAY: "year-month-day",
    }.get(column.kind, "")
    needed = "must be filled in" if column.is_needed else ""
    unit = f"another unit of this kind may stand in the header: [{column.unit}]"
    parts = (needed, column.says, words, unit if column.unit else "")
    return ". ".join(part.rstrip(".") for part in parts if part)


def _cells(sheet: Sheet, row: Values, zone: ZoneInfo) -> list[Any]:
    return [_cell(column, row.get(column.field), zone) for column in sheet.columns]


def _cell(column: Column, value: Any, zone: ZoneInfo) -> Any:
    if isinstance(value, datetime):
        return written_moment(value, zone)
    if column.kind is Kind.CHOICE and value:
        return neutral(column.choices.get(value, value))
    if column.kind is Kind.LINES and isinstance(value, list):
        value = "\n".join(value)
    cell = written(value)
    return cell if cell != "" else None
