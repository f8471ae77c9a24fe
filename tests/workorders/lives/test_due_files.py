"""The due list taken away: whole, however long it is."""

import csv
import io

import openpyxl
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant import exports
from plant.models import Plant
from tests.plant.factories import make_complete_conveyor
from tests.workorders.due_rows import make_due
from workorders.selectors import due_list

pytestmark = pytest.mark.django_db


@pytest.fixture
def places(plant: Plant) -> list[str]:
    conveyor = make_complete_conveyor(plant, tag="Q30")
    today = plant.day_of(timezone.now())
    names = [f"Pulley {place}" for place in range(5)]
    for name in names:
        make_due(conveyor, key=name, where=name, due_on=today)
    return names


def test_a_file_goes_on_past_what_is_read_at_once(
    planner: Client, places: list[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(due_list, "_CHUNK", 2)

    text = planner.get(reverse("due-csv")).content.decode("utf-8-sig")

    _header, *rows = csv.reader(io.StringIO(text))
    assert [row[2] for row in rows] == places


def test_a_workbook_that_cannot_hold_all_rows_says_so(
    planner: Client, places: list[str], monkeypatch: pytest.MonkeyPatch
):
    # The format ends at 1,048,576 rows (ECMA-376, row number of a cell reference).
    monkeypatch.setattr(exports, "MOST_ROWS_OF_A_SHEET", 5)

    sent = planner.get(reverse("due-xlsx")).content

    rows = list(openpyxl.load_workbook(io.BytesIO(sent)).active.values)
    assert len(rows) == 5
    assert [row[2] for row in rows[1:4]] == places[:3]
    assert "the CSV file has all of them" in str(rows[4][0])
