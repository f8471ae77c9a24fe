"""Tables of XLSX workbooks, read row by row."""

import warnings
from collections.abc import Iterator
from io import BytesIO
from typing import Any

from plant.register_files import limits
from plant.register_files.cells import ErrorValue, Formula
from plant.register_files.packages import merged_cells, open_package
from plant.register_files.refusals import FileRefused
from plant.register_files.tables import Table, filled_rows


class Workbook:
    """Sheets in their order; `merged` are the ranges of a sheet's merged cells, by its title."""

    def __init__(self, content: bytes) -> None:
        package = open_package(content)
        merged = merged_cells(package)
        self._book = _opened(content)
        if len(self._book.worksheets) > limits.MOST_SHEETS:
            raise FileRefused("too_many_sheets", most=limits.MOST_SHEETS)
        self.merged = {
            str(sheet.title): merged.get(str(sheet._worksheet_path).lstrip("/"), [])
            for sheet in self._book.worksheets
        }

    def tables(self) -> list[Table]:
        return [
            Table(str(sheet.title), filled_rows(str(sheet.title), _rows(sheet)))
            for sheet in self._book.worksheets
        ]

    def close(self) -> None:
        self._book.close()


def _opened(content: bytes) -> Any:
    import openpyxl

    try:
        with warnings.catch_warnings():
            # Of validations and styles it does not keep; we keep none.
            warnings.simplefilter("ignore")
            return openpyxl.load_workbook(
                BytesIO(content), read_only=True, data_only=False, keep_links=False
            )
    except Exception:
        # A hostile workbook makes the library raise almost anything.
        raise FileRefused("broken_workbook") from None


def _rows(sheet: Any) -> Iterator[list[Any]]:
    # What a sheet says about its own size may be a lie of millions of cells.
    sheet.reset_dimensions()
    rows = sheet.iter_rows()
    number = 0
    while True:
        number += 1
        try:
            row = next(rows, None)
            if row is None:
                return
            cells = [_cell(one) for one in row]
        except Exception:
            raise FileRefused("broken_sheet", sheet=str(sheet.title), row=number) from None
        yield cells


def _cell(cell: Any) -> Any:
    value = cell.value
    if type(value) is str:
        if cell.data_type == "f":
            return Formula(value)
        if cell.data_type == "e":
            return ErrorValue(value)
        return value
    if value is None or isinstance(value, int | float) or hasattr(value, "isoformat"):
        return value
    # Array formulas and data tables are objects of their own; anything else is text.
    return Formula(value) if cell.data_type == "f" else str(value)
