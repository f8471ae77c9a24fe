"""A table as it stands in a file, before anybody knows what its columns mean."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from plant.register_files import limits
from plant.register_files.cells import is_empty
from plant.register_files.refusals import FileRefused

Row = tuple[int, list[Any]]


@dataclass(frozen=True)
class Table:
    """`title` is empty where a file has no sheets; `rows` come once, numbered from 1."""

    title: str
    rows: Iterator[Row]


def filled_rows(title: str, rows: Iterator[list[Any]]) -> Iterator[Row]:
    """Rows that hold anything, numbered as a spreadsheet numbers them, within the limits."""
    filled = held = 0
    for number, cells in enumerate(rows, start=1):
        if number > limits.MOST_ROWS_OF_A_SHEET:
            raise FileRefused("too_many_rows", sheet=title, most=limits.MOST_ROWS)
        while cells and is_empty(cells[-1]):
            cells.pop()
        if not cells:
            continue
        filled += 1
        # Room for the header and what stands above it.
        if filled > limits.MOST_ROWS + limits.HEADER_WITHIN_ROWS:
            raise FileRefused("too_many_rows", sheet=title, most=limits.MOST_ROWS)
        if len(cells) > limits.MOST_COLUMNS:
            raise FileRefused(
                "too_many_columns",
                sheet=title,
                row=number,
                count=len(cells),
                most=limits.MOST_COLUMNS,
            )
        held += len(cells)
        if held > limits.MOST_CELLS:
            raise FileRefused("too_many_cells", sheet=title, row=number, most=limits.MOST_CELLS)
        yield number, cells


def letters_of(index: int) -> str:
    """The name of a column by its number from 0 on: A, B, ... Z, AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
