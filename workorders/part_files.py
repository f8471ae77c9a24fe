"""The list of parts as a file: CSV, or a workbook; no cell begins a formula."""

from collections.abc import Iterable
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpResponse

from plant.register_files.writing import csv_bytes, workbook_bytes
from workorders.part_sheet import SHEET
from workorders.selectors.part_figures import PartFigures

_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
# No column is an instant; what is written does not depend on it.
_NO_ZONE = ZoneInfo("UTC")


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
