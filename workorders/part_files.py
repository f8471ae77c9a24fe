"""The list of parts as a file: CSV, or a workbook; no cell begins a formula."""

from collections.abc import Iterable
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpResponse

from plant.register_files.columns import Column, Kind, Sheet
from plant.register_files.writing import csv_bytes, workbook_bytes
from workorders.models import Part
from workorders.selectors.part_figures import PartFigures

_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
# No column is an instant; what is written does not depend on it.
_NO_ZONE = ZoneInfo("UTC")

SHEET = Sheet(
    "parts",
    "Parts",
    (
        Column("plant", "Plant", is_key=True),
        Column("number", "Part number", is_key=True),
        Column("name", "Name"),
        Column(
            "kind", "Kind", Kind.CHOICE, choices={one.value: str(one.label) for one in Part.Kind}
        ),
        Column(
            "unit", "Counted in", Kind.CHOICE, choices={one.value: one.value for one in Part.Unit}
        ),
        Column("on_hand", "On hand", Kind.DECIMAL, places=2),
        Column("reserved", "Reserved", Kind.DECIMAL, places=2),
        Column("free", "Free", Kind.DECIMAL, places=2),
        Column("due", "Due", Kind.DECIMAL, places=2),
        Column("next_due_on", "Next due on", Kind.DAY),
        Column("short", "Short", Kind.DECIMAL, places=2),
        Column("known_as", "Also written as", Kind.WORDS),
        Column("kept_at", "Kept at"),
        Column("note", "Note"),
        Column("retired_on", "Retired", Kind.DAY),
    ),
)


def as_csv(rows: Iterable[PartFigures]) -> HttpResponse:
    content = csv_bytes(SHEET, map(_row, rows), _NO_ZONE)
    return _answer(content, "text/csv; charset=utf-8", "parts.csv")


def as_workbook(rows: Iterable[PartFigures]) -> HttpResponse:
    return _answer(workbook_bytes([(SHEET, map(_row, rows))], _NO_ZONE), _XLSX, "parts.xlsx")


def _row(row: PartFigures) -> dict[str, Any]:
    part = row.part
    return {
        **{name: getattr(part, name) for name in ("number", "name", "kind", "unit", "on_hand")},
        **{name: getattr(part, name) for name in ("known_as", "kept_at", "note", "retired_on")},
        **{name: getattr(row, name) for name in ("reserved", "free", "due", "short")},
        "plant": part.plant.code,
        "next_due_on": row.waiting[0].due_on if row.waiting else None,
    }


def _answer(content: bytes, content_type: str, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type=content_type)
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
