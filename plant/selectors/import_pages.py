"""What the pages about a file show: counts by sheet, its rows, what changes in words."""

from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.utils.formats import localize
from django.utils.translation import gettext

from plant import import_words
from plant.models import PlannedRow, RegisterImport
from plant.register_files.columns import Column, Kind
from plant.register_files.sheets import BY_CODE, SHEETS

VERDICTS = PlannedRow.Verdict
_ROWS = 50
# Of a new row not every figure is told, only what makes it known again.
_MOST_TOLD = 6


@dataclass(frozen=True)
class SheetCounts:
    code: str
    title: str
    counts: list[tuple[str, int]]

    @property
    def words(self) -> str:
        """`3000 new, 2 changed`: what there is, and nothing of what there is not."""
        told = (f"{count} {VERDICTS(verdict).label}" for verdict, count in self.counts if count)
        return ", ".join(told)


@dataclass(frozen=True)
class Change:
    label: str
    old: str
    new: str


@dataclass(frozen=True)
class RowShown:
    row: PlannedRow
    title: str
    changes: list[Change]
    values: list[tuple[str, str]]
    reasons: list[str]


def counts_of(one: RegisterImport) -> list[SheetCounts]:
    return [
        SheetCounts(
            sheet.code,
            gettext(sheet.title),
            [(verdict.value, one.counts[sheet.code].get(verdict.value, 0)) for verdict in VERDICTS],
        )
        for sheet in SHEETS
        if sheet.code in one.counts
    ]


def rows_page(one: RegisterImport, verdict: str, sheet: str, page: Any) -> Page:
    """A page of the file's rows; refused ones first when none were asked for."""
    rows = one.rows.all()
    if verdict in VERDICTS.values:
        rows = rows.filter(verdict=verdict)
    if sheet in BY_CODE:
        rows = rows.filter(sheet=sheet)
    found = Paginator(rows, _ROWS).get_page(page)
    shown: Any = [_shown(row) for row in found.object_list]
    found.object_list = shown
    return found


def refusal_of(one: RegisterImport) -> str:
    return import_words.in_words(import_words.FILE, one.refusal) if one.refusal else ""


def remarks_of(one: RegisterImport) -> list[str]:
    return [import_words.in_words(import_words.REMARKS, remark) for remark in one.remarks]


def _shown(row: PlannedRow) -> RowShown:
    sheet = BY_CODE[row.sheet]
    changes = [
        Change(_label(sheet.by_field[name]), *(_said(sheet.by_field[name], one) for one in both))
        for name, *both in row.changes
    ]
    told = [] if row.verdict != VERDICTS.NEW else _told(row)
    reasons = [import_words.in_words(import_words.ROWS, reason) for reason in row.reasons]
    return RowShown(row, gettext(sheet.title), changes, told, reasons)


def _told(row: PlannedRow) -> list[tuple[str, str]]:
    columns = BY_CODE[row.sheet].columns
    filled = [
        (_label(column), _said(column, row.values[column.field]))
        for column in columns
        if row.values.get(column.field) not in (None, "", []) and _is_told(column)
    ]
    return filled[:_MOST_TOLD]


def _is_told(column: Column) -> bool:
    # Where the row belongs and what it is called stand in columns of their own.
    return column.field not in {"tag", "name", "belt", "component"}


def _label(column: Column) -> str:
    return gettext(column.header)


def _said(column: Column, value: Any) -> str:
    if value is None or value == "" or value == []:
        return "—"
    if isinstance(value, bool):
        return gettext("yes") if value else gettext("no")
    if isinstance(value, list):
        return ", ".join(map(str, value))
    if column.kind is Kind.CHOICE:
        return gettext(column.choices.get(value, value))
    if isinstance(value, float):
        value = f"{value:.10g}"
    if column.kind is Kind.MOMENT:
        return str(value)[:16].replace("T", " ")
    unit = f"\N{NO-BREAK SPACE}{column.unit}" if column.unit else ""
    return f"{localize(value)}{unit}"
