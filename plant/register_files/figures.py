"""Figures as people type them: decimal point or comma, grouped digits, a unit behind."""

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, time
from enum import StrEnum
from typing import Any

from plant.register_files.cells import check_plain, text_of
from plant.register_files.refusals import CellRefused

# The digits with their marks, then whatever stands behind: a unit.
_FIGURE = re.compile(
    r"^([+\-−]?(?:\d[\d.,'’\u00a0\u202f ]*|[.,]\d[\d.,]*)"
    r"(?:[eE][+\-]?\d{1,3}(?![A-Za-z]))?)\s*(.*)$",
    re.S,
)
_SPACES = re.compile(r"[\u00a0\u202f '’]")
_GROUP = r"\d{1,3}(?:%s\d{3})+"


class Mark(StrEnum):
    POINT = "."
    COMMA = ","


@dataclass(frozen=True)
class Marks:
    """What the other figures of a sheet tell about its decimal mark; None: nothing."""

    decimal: Mark | None = None
    is_grouping_seen: bool = False


@dataclass(frozen=True)
class Figure:
    value: float
    unit: str


def marks_of(cells: Iterable[Any]) -> Marks:
    """The decimal mark of a sheet, told by those of its figures that can only be read one way."""
    decimals: set[Mark] = set()
    grouped = False
    for cell in cells:
        found = _FIGURE.match(cell.strip()) if isinstance(cell, str) else None
        if found is None:
            continue
        mark, is_grouped = _told(_SPACES.sub("", found[1]).lstrip("+-−"))
        if mark is not None:
            decimals.add(mark)
        grouped = grouped or is_grouped
    return Marks(decimals.pop() if len(decimals) == 1 else None, grouped)


def figure_of(cell: Any, marks: Marks = Marks()) -> Figure:
    """A figure and the unit behind it, empty when there is none.

    Raises
    ------
    CellRefused
        No figure, not finite, a date, or digits that can be read in two ways.
    """
    check_plain(cell)
    if isinstance(cell, bool):
        raise CellRefused("not_a_number", cell=text_of(cell))
    if isinstance(cell, date | time):
        raise CellRefused("date_for_number", cell=text_of(cell))
    if isinstance(cell, int | float):
        return Figure(_finite(float(cell) if abs(cell) < 1e300 else math.inf), "")
    text = text_of(cell)
    found = _FIGURE.match(text)
    if found is None:
        raise CellRefused("not_a_number", cell=text[:40])
    digits = _SPACES.sub("", found[1].replace("−", "-")).rstrip(",.")
    return Figure(_value(digits, text, marks), found[2].strip())


def _value(digits: str, text: str, marks: Marks) -> float:
    bare = digits.lstrip("+-")
    mark, _grouped = _told(bare)
    if mark is None and _is_two_way(bare):
        mark = _settled(bare, text, marks)
    if mark is Mark.COMMA:
        plain = digits.replace(".", "").replace(",", ".")
    else:
        plain = digits.replace(",", "")
    try:
        return _finite(float(plain))
    except ValueError:
        raise CellRefused("not_a_number", cell=text[:40]) from None


def _settled(bare: str, text: str, marks: Marks) -> Mark:
    """How one mark before exactly three digits is meant, or a refusal to guess."""
    has_point = "." in bare
    if marks.decimal is None:
        if has_point:
            return Mark.POINT
    elif has_point == (marks.decimal is Mark.POINT) or marks.is_grouping_seen:
        return marks.decimal
    raise CellRefused("two_ways", cell=text[:40])


def _told(bare: str) -> tuple[Mark | None, bool]:
    """The decimal mark that digits give away by themselves, and whether they are grouped."""
    bare = re.split("[eE]", bare)[0]
    point, comma = bare.count("."), bare.count(",")
    if point and comma:
        mark = Mark.POINT if bare.rfind(".") > bare.rfind(",") else Mark.COMMA
        return mark, True
    for count, mark, other in ((point, Mark.POINT, Mark.COMMA), (comma, Mark.COMMA, Mark.POINT)):
        if count > 1 and re.fullmatch(_GROUP % re.escape(mark.value), bare):
            return other, True
        if count == 1 and not _is_two_way(bare):
            return mark, False
    return None, False


def _is_two_way(bare: str) -> bool:
    return re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", bare) is not None


def _finite(value: float) -> float:
    if not math.isfinite(value):
        raise CellRefused("not_a_number", cell=str(value))
    return value
