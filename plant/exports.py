"""Tables to take away, as CSV that a spreadsheet program cannot be tricked with."""

import csv
from collections.abc import Iterable, Sequence
from typing import Any

from django.http import HttpResponse

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
    """Numbers stay numbers; text that would begin a formula gets an apostrophe before it."""
    if value is None:
        return ""
    if isinstance(value, bool | int | float):
        return value
    text = str(value)
    return f"'{text}" if text.startswith(_FORMULA) else text
