"""Which sheet a table is, and which of its columns is what: any order, any case, units beside."""

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from plant.register_files import units
from plant.register_files.cells import ErrorValue, Formula, is_empty, plain
from plant.register_files.columns import Column, Kind, Sheet
from plant.register_files.refusals import FileRefused
from plant.register_files.sheets import SHEETS
from plant.register_files.tables import letters_of

_IN_BRACKETS = re.compile(r"^(.*?)\s*[\[(]\s*([^\])]*?)\s*[\])]\s*$", re.S)
_AFTER_COMMA = re.compile(r"^(.*?)(?:\s*,\s*|\s+in\s+)(\S.{0,20})$", re.S)
_NEAR = 0.75


@dataclass(frozen=True)
class Placed:
    """A column of the file that is known: where it stands, as what, and in which unit."""

    index: int
    header: str
    column: Column
    unit: str

    @property
    def letters(self) -> str:
        return letters_of(self.index)


@dataclass(frozen=True)
class Header:
    """`width` counts the cells of the header row; rows may not be wider."""

    sheet: Sheet
    row_number: int
    placed: tuple[Placed, ...]
    unread: tuple[str, ...]
    width: int


def likeness(cells: Sequence[Any]) -> int:
    """How many of the cells are columns of the one sheet they are most like."""
    return max((_known(sheet, cells) for sheet in SHEETS), default=0)


def sheet_like(cells: Sequence[Any]) -> Sheet | None:
    """The sheet whose key columns are all there and of which most columns are known."""
    fitting = [sheet for sheet in SHEETS if has_keys(sheet, cells)]
    if not fitting:
        return None
    # More keys are harder to meet by chance.
    return max(fitting, key=lambda sheet: (_known(sheet, cells), len(sheet.keys)))


def header_of(sheet: Sheet, title: str, row_number: int, cells: Sequence[Any]) -> Header:
    """The columns of a header row.

    Raises
    ------
    FileRefused
        A column twice, a needed one missing, a unit that does not go with its column.
    """
    placed: dict[str, Placed] = {}
    unread = []
    for index, cell in enumerate(cells):
        if is_empty(cell):
            continue
        one = _placed(sheet, title, row_number, index, cell)
        if one is None:
            unread.append(_named(sheet, index, cell))
            continue
        before = placed.get(one.column.field)
        if before is not None:
            raise FileRefused(
                "column_twice",
                sheet=title or sheet.title,
                row=row_number,
                column=f"{before.letters} “{before.header}”",
                other=f"{one.letters} “{one.header}”",
            )
        placed[one.column.field] = one
    missing = [one.header for one in sheet.keys if one.field not in placed]
    if missing:
        raise FileRefused(
            "column_missing",
            sheet=title or sheet.title,
            row=row_number,
            missing=", ".join(missing),
            found=", ".join(str(cell)[:30] for cell in cells[:12] if not is_empty(cell)),
        )
    return Header(sheet, row_number, tuple(placed.values()), tuple(unread), len(cells))


def has_keys(sheet: Sheet, cells: Sequence[Any]) -> bool:
    found = {column.field for cell in cells if (column := _column(sheet, cell)[0])}
    return all(key.field in found for key in sheet.keys)


def _known(sheet: Sheet, cells: Sequence[Any]) -> int:
    return len({column.field for cell in cells if (column := _column(sheet, cell)[0])})


def _column(sheet: Sheet, cell: Any) -> tuple[Column | None, str]:
    """The column a header names, and the unit it says, empty when it says none."""
    if not isinstance(cell, str) or len(cell) > 200:
        return None, ""
    # A star for "must be filled in" is no part of the name.
    words = cell.strip().rstrip("*:").strip()
    if found := sheet.by_name.get(plain(words)):
        return found, ""
    for form in (_IN_BRACKETS, _AFTER_COMMA):
        parts = form.match(words)
        if parts and (found := sheet.by_name.get(plain(parts[1]))):
            return found, parts[2].strip()
    return None, ""


def _placed(sheet: Sheet, title: str, row_number: int, index: int, cell: Any) -> Placed | None:
    if isinstance(cell, Formula | ErrorValue):
        raise FileRefused(
            "formula_in_header",
            sheet=title or sheet.title,
            row=row_number,
            column=letters_of(index),
        )
    column, unit = _column(sheet, cell)
    if column is None:
        return None
    said = str(cell).strip()[:60]
    if column.kind is Kind.MEASURED and unit:
        if not units.is_unit(unit):
            raise _wrong_unit(sheet, title, row_number, index, said, unit, "mm, °C, m")
        return Placed(index, said, column, unit)
    if not column.unit or not unit:
        return Placed(index, said, column, "")
    if not units.fits(unit, column.unit):
        raise _wrong_unit(sheet, title, row_number, index, said, unit, column.unit)
    return Placed(index, said, column, unit)


def _wrong_unit(
    sheet: Sheet, title: str, row: int, index: int, said: str, unit: str, wanted: str
) -> FileRefused:
    return FileRefused(
        "wrong_unit_in_header",
        sheet=title or sheet.title,
        row=row,
        column=f"{letters_of(index)} “{said}”",
        unit=unit[:30],
        wanted=wanted,
    )


def _named(sheet: Sheet, index: int, cell: Any) -> str:
    """An unknown column, with the known one it is most like."""
    said = str(cell).strip()[:40]
    near = difflib.get_close_matches(plain(said), list(sheet.by_name), 1, _NEAR)
    like = f" (→ {sheet.by_name[near[0]].header}?)" if near else ""
    return f"{letters_of(index)} “{said}”{like}"
