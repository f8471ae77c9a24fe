"""Sending files in, as the tests about them do."""

from typing import Any

from django.utils import timezone

from plant.models import PlannedRow, Plant, RegisterImport, User
from plant.register_files.sheets import BY_CODE, SHEETS
from plant.register_files.writing import csv_bytes, workbook_bytes
from plant.selectors.register_rows import written_rows
from plant.services import importing


def send(
    plant: Plant, by: User, content: bytes, *, name: str = "list.csv", sheet: str = ""
) -> RegisterImport:
    return importing.take_in_file(
        plant=plant, name=name, content=content, sheet=sheet, by=by, now=timezone.now()
    )


def take_in(plant: Plant, by: User, content: bytes) -> RegisterImport:
    """Send a file, read it and apply it, whatever its size."""
    one = send(plant, by, content)
    importing.do_owed()
    one.refresh_from_db()
    assert one.state == RegisterImport.State.READ, one.refusal
    assert not importing.refused_rows(one), reasons_of(one)
    if importing.writing_rows(one):
        importing.ask_apply(import_id=one.pk, by=by, now=timezone.now())
        importing.do_owed()
        one.refresh_from_db()
        assert one.state == RegisterImport.State.APPLIED, one.refusal
    return one


def workbook_of(plant: Plant) -> bytes:
    return workbook_bytes(
        [(sheet, written_rows(plant, sheet.code)) for sheet in SHEETS], plant.zone_info
    )


def csv_of(plant: Plant, code: str) -> bytes:
    return csv_bytes(BY_CODE[code], written_rows(plant, code), plant.zone_info)


def every_csv(plant: Plant) -> list[bytes]:
    return [csv_of(plant, sheet.code) for sheet in SHEETS]


def reasons_of(one: RegisterImport) -> list[Any]:
    refused = one.rows.filter(verdict=PlannedRow.Verdict.REFUSED)
    return [(row.sheet, row.row_number, row.reasons) for row in refused]


def verdicts_of(one: RegisterImport) -> list[str]:
    return list(one.rows.values_list("verdict", flat=True))
