"""Tables to take away, as CSV or a workbook that a spreadsheet program cannot be tricked with."""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from itertools import islice
from typing import Any

from django.http import HttpResponse
from django.utils.translation import gettext as _

from plant.register_files.limits import MOST_ROWS_OF_A_SHEET

_UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff]")
# What spreadsheet programs take for the beginning of a formula.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def csv_response(name: str, header: Sequence[Any], rows: Iterable[Sequence[Any]]) -> HttpResponse:
    """A CSV file with a header row; UTF-8 with its mark, so that spreadsheets read it rightly."""
    response = HttpResponse("\ufeff", content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    writer = csv.writer(response)
    writer.writerow([cell_of(value) for value in header])
    for row in rows:
        writer.writerow([cell_of(value) for value in row])
    return response


def cell_of(value: Any) -> Any:
    """Numbers and days stay so; text that would begin a formula gets an apostrophe before it.

    Instants are handed in as local times without a zone: no workbook keeps one.
    """
    if value is None:
        return ""
    if isinstance(value, bool | int | float | Decimal):
        return value
    if isinstance(value, date) and getattr(value, "tzinfo", None) is None:
        return value
    # Signs that no spreadsheet shows would break a workbook.
    text = _UNSEEN.sub("", str(value))
    return f"'{text}" if text.startswith(_FORMULA) else text


_WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_WIDTH = 18


def xlsx_response(
    name: str, title: str, header: Sequence[Any], rows: Iterable[Sequence[Any]]
) -> HttpResponse:
    """The same as a workbook of one sheet; text is kept as text, never as a formula."""
    import openpyxl
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = openpyxl.Workbook(write_only=True)
    page = book.create_sheet(title[:31])
    page.freeze_panes = "A2"
    for place in range(1, len(header) + 1):
        page.column_dimensions[get_column_letter(place)].width = _WIDTH
    cells = [WriteOnlyCell(page, cell_of(value)) for value in header]
    for cell in cells:
        cell.font = Font(bold=True)
    page.append(cells)
    kept_rows = iter(rows)
    for row in islice(kept_rows, MOST_ROWS_OF_A_SHEET - 2):
        page.append([cell_of(value) for value in row])
    if next(kept_rows, None) is not None:
        page.append([_("More rows than a workbook holds: the CSV file has all of them.")])
    kept = io.BytesIO()
    book.save(kept)
    response = HttpResponse(kept.getvalue(), content_type=_WORKBOOK)
    response["Content-Disposition"] = f'attachment; filename="{name}.xlsx"'
    return response
