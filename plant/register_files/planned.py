"""What each row of a file would do to the register."""

import math
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any

from plant.register_files.cells import tidy
from plant.register_files.columns import REFERENCES, Column, Sheet
from plant.register_files.reading import ParsedRow
from plant.register_files.refusals import Reason

# As files with other units come back from their arithmetic.
_SAME = 1e-9


class Verdict(StrEnum):
    NEW = "new"
    CHANGED = "changed"
    UNCHANGED = "unchanged"
    REFUSED = "refused"


@dataclass(slots=True)
class PlannedRow:
    """`values` are all that the row will hold, `changes` are (field, old, new)."""

    sheet: str
    number: int
    tag: str
    name: str = ""
    pk: int | None = None
    values: dict[str, Any] = field(default_factory=dict)
    changes: list[tuple[str, Any, Any]] = field(default_factory=list)
    reasons: list[Reason] = field(default_factory=list)
    is_new: bool = False

    @property
    def verdict(self) -> Verdict:
        if self.reasons:
            return Verdict.REFUSED
        if self.is_new:
            return Verdict.NEW
        return Verdict.CHANGED if self.changes else Verdict.UNCHANGED

    @property
    def writes(self) -> bool:
        return self.is_new or bool(self.changes)


def settle(plan: PlannedRow, sheet: Sheet, row: ParsedRow, standing: dict[str, Any] | None) -> None:
    """Fill in what the row will hold, and what of it is new; None: nothing stands there yet."""
    asked = {
        name: settled(sheet, sheet.by_field[name], value)
        for name, value in row.values.items()
        if name not in REFERENCES
    }
    if standing is None:
        _settle_new(plan, sheet, row, asked)
        return
    for name, new in asked.items():
        old = standing.get(name)
        if not same(old, new):
            plan.changes.append((name, old, new))
    plan.values = standing | {name: new for name, _old, new in plan.changes}


def _settle_new(plan: PlannedRow, sheet: Sheet, row: ParsedRow, asked: dict[str, Any]) -> None:
    plan.is_new = True
    for column in sheet.columns:
        if column.is_needed and column.field not in row.values and not row.reasons:
            plan.reasons.append(Reason("needed_for_new", column.header))
    plan.values = sheet.empty_row | asked


def settled(sheet: Sheet, column: Column, value: Any) -> Any:
    """A cell's value as the register holds it: what an empty one means depends on its column."""
    if value is not None:
        return value
    empty = sheet.empty_row.get(column.field)
    return list(empty) if isinstance(empty, list) else empty


def same(old: Any, new: Any) -> bool:
    if old == new:
        return True
    if isinstance(old, str) and isinstance(new, str):
        return tidy(old) == new
    if isinstance(old, datetime) and isinstance(new, datetime):
        # Files keep instants to the second.
        return old.replace(microsecond=0) == new.replace(microsecond=0)
    figures = isinstance(old, int | float | Decimal) and isinstance(new, int | float | Decimal)
    return figures and math.isclose(float(old), float(new), rel_tol=_SAME, abs_tol=1e-12)
