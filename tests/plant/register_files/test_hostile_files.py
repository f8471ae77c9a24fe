"""Whatever is sent in, the answer says what is wrong and where, and nothing is changed."""

import html
import time
import tracemalloc
from datetime import date
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from plant.models import Conveyor, Plant, RegisterImport
from plant.roles import Role
from plant.services import importing
from tests.plant.factories import make_complete_conveyor, make_person, make_plant, signed_in
from tests.plant.register_files import hostile
from tests.plant.register_files.hostile import COMPONENTS, CONVEYORS, workbook

pytestmark = pytest.mark.django_db
_HEADER = "Tag,Name,Belt speed,Centre distance\n"


@pytest.fixture
def plant() -> Plant:
    plant = make_plant()
    make_complete_conveyor(plant, tag="CV-1")
    return plant


@pytest.fixture
def client(plant: Plant) -> Client:
    return signed_in(make_person(Role.PLANNER, plants=[plant]))


def _answer(client: Client, plant: Plant, content: bytes, name: str = "list.csv") -> str:
    """What the person reads about a file that is refused, on whichever page it is said."""
    before = list(Conveyor.objects.values())
    sent = {"plant": plant.pk, "file": SimpleUploadedFile(name, content), "sheet": ""}
    response = client.post(reverse("register-files"), sent)
    if response.status_code == 302:
        # Single rows or cells are refused, or it was too large to be read at once.
        importing.do_owed()
        one = RegisterImport.objects.get()
        response = client.get(reverse("register-import", args=[one.pk]))
        assert client.post(reverse("register-import-apply", args=[one.pk])).status_code == 409
    else:
        assert response.status_code == 400
    assert list(Conveyor.objects.values()) == before
    return html.unescape(response.content.decode())


def _merge(sheet: Any) -> None:
    sheet.merge_cells("A2:A3")


_CASES: list[tuple[str, bytes, str]] = [
    ("nothing", b"", "empty"),
    ("blanks", b"\xef\xbb\xbf \r\n\r\n", "The file is empty."),
    ("a picture", b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + bytes(500), "This is no table."),
    ("a picture named xlsx", b"\xff\xd8\xff\xe0\x00\x10JFIF" + bytes(500), "This is no table."),
    ("a PDF", b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj", "This is no table."),
    ("some zip", hostile.zip_of({"a.txt": b"x"}), "This is no workbook."),
    ("a broken zip", b"PK\x03\x04" + b"x" * 300, "cannot be opened"),
    (
        "half a workbook",
        hostile.plain_workbook()[:-400],
        "cannot be opened",
    ),
    ("an old workbook", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500), "old kind .xls"),
    (
        "a workbook without sense",
        hostile.with_part(hostile.plain_workbook(), "xl/workbook.xml", lambda _data: b"<x>"),
        "cannot be opened",
    ),
    (
        "a sheet that stops",
        hostile.with_part(hostile.plain_workbook(), hostile.SHEET, lambda data: data[:-60]),
        "cannot be read from row",
    ),
    ("a bomb", hostile.bomb(), "unpacks to more than 250 MB"),
    ("entities", hostile.entities(), "cannot be opened"),
    ("a row far out", hostile.far_row(), "more than 100000 rows"),
    ("a million rows", hostile.million_rows(), "more than 100000 rows"),
    ("ten thousand columns", hostile.wide(), "row 1: 10004 columns. At most 200 are read."),
    ("no header", b"a,b\n1,2\n", "No row of the file holds the columns"),
    ("a header alone", _HEADER.encode(), "no rows below it"),
    (
        "a column missing",
        workbook([["Tag", "Name"], ["CV-1", "x"]], title="Conveyors"),
        "Sheet Conveyors, row 1: no column is called Centre distance, Belt speed",
    ),
    (
        "a column twice",
        b"Tag,Name,Speed,Belt speed [ft/min],Centre distance\nCV-1,x,1,1,1\n",
        "columns C “Speed” and D “Belt speed [ft/min]” mean the same",
    ),
    (
        "a wrong unit in the header",
        b"Tag,Name,Belt speed [kg],Centre distance\nCV-1,x,1,1\n",
        "row 1, column C “Belt speed [kg]”: “kg” is no unit for it. Write m/s",
    ),
    (
        "the same sheet twice",
        workbook(
            [CONVEYORS, ["CV-1", "x", 2, 100]],
            change=lambda sheet: [
                sheet.parent.create_sheet("More").append(CONVEYORS),
                sheet.parent["More"].append(["CV-9", "x", 2, 100]),
            ],
        ),
        "Sheets Sheet1 and More hold the same kind of rows",
    ),
    (
        "a formula",
        workbook([CONVEYORS, ["CV-1", "x", "=1+1", 100]]),
        "C “Belt speed”: The cell holds a formula: =1+1",
    ),
    (
        "a formula as header",
        workbook([[*CONVEYORS, "=A1"], ["CV-1", "x", 2, 100]]),
        "row 1, column E: the header is a formula",
    ),
    (
        "an error",
        workbook([CONVEYORS, ["CV-1", "#REF!", 2, 100]]),
        "B “Name”: The cell says #REF!.",
    ),
    (
        "merged cells",
        workbook([CONVEYORS, ["CV-1", "x", 2, 100], [None, "y", 2, 100]], change=_merge),
        "Sheet Sheet1: cells A2:A3 are merged",
    ),
    (
        "a number for a date",
        workbook([COMPONENTS, ["CV-1", "P", "plough", "return", 106.5, 45000]]),
        "F “Fitted”: 45000 is a number, not a day",
    ),
    (
        "a date for a number",
        workbook([COMPONENTS, ["CV-1", "P", "plough", "return", date(2026, 5, 1), None]]),
        "E “Loop position”: 2026-05-01 is a date, not a number",
    ),
    (
        "a day that is two",
        b"Conveyor,Name,Kind,Run,Loop position,Fitted\nCV-1,P,plough,return,106.5,03/04/2026\n",
        "F “Fitted”: 03/04/2026 can be read in two ways",
    ),
    (
        "figures that are two",
        b"Tag;Name;Belt speed;Centre distance\nCV-1;x;2;1,234\n",
        "D “Centre distance”: 1,234 can be read in two ways",
    ),
    (
        "letters broken half-way",
        (_HEADER + "CV-1,Förder,2,100\nCV-2,").encode() + b"F\xfc,2,100\n",
        "In row 3 letters are broken",
    ),
    (
        "half of a letter of two bytes",
        b"\xff\xfe" + _HEADER.encode("utf-16-le") + b"\x41",
        "In row 2 letters are broken",
    ),
    (
        "a quotation mark left open",
        (_HEADER + 'CV-1,"One,2,100\nCV-2,Two,2,100\n').encode(),
        "Row 2 is broken: a quotation mark",
    ),
    (
        "a letter nobody sees",
        (_HEADER + "CV-1,One,2,100\n" * 40 + "CV-2,Bell\x07,2,100\n").encode(),
        "Row 42 holds a letter that cannot be shown",
    ),
    (
        "the same row twice",
        (_HEADER + "CV-8,One,2,100\ncv-8,One,2,100\n").encode(),
        "The same as row 2",
    ),
    (
        "a cell without end",
        (_HEADER + f"CV-8,{'x' * 40_000},2,100\n").encode(),
        "more than 32700 letters",
    ),
    (
        "powers of units",
        (_HEADER + "CV-8,One,2 m**9**9**9**9,100\n").encode(),
        "is no unit for it",
    ),
    ("endless figures", (_HEADER + "CV-8,One,1e999,100\n").encode(), "is no number"),
    ("no figure", (_HEADER + "CV-8,One,NaN,100\n").encode(), "is no number"),
    ("markup", (_HEADER + "<b>x</b>,One,2,100\n").encode(), "Begin with a letter or digit"),
]


@pytest.mark.parametrize(
    ("content", "said"), [case[1:] for case in _CASES], ids=[c[0] for c in _CASES]
)
def test_a_hostile_file_is_answered_with_what_is_wrong_and_where(
    content: bytes, said: str, client: Client, plant: Plant
):
    started = time.monotonic()
    answer = _answer(client, plant, content)

    assert said in answer, answer[answer.find("<h1") : answer.find("<footer")]
    # On the slowest of machines; a bomb that goes off takes minutes.
    assert time.monotonic() - started < 30


def test_a_sheet_that_lies_about_its_size_is_read_as_it_is(client: Client, plant: Plant):
    started = time.monotonic()
    file = SimpleUploadedFile("list.xlsx", hostile.lying_dimension())
    client.post(reverse("register-files"), {"plant": plant.pk, "file": file, "sheet": ""})

    assert RegisterImport.objects.get().counts == {"conveyors": {"changed": 1}}
    assert time.monotonic() - started < 10


def test_a_bomb_takes_no_memory(client: Client, plant: Plant):
    content = hostile.bomb()
    tracemalloc.start()
    try:
        _answer(client, plant, content)
        _now, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()

    assert peak < 30_000_000


def test_a_sheet_name_and_markup_are_shown_as_text(client: Client, plant: Plant):
    file = SimpleUploadedFile("<script>x.csv", (_HEADER + "CV-8,<i>n</i>,2,100\n").encode())
    client.post(reverse("register-files"), {"plant": plant.pk, "file": file, "sheet": ""})

    page = client.get(reverse("register-import", args=[RegisterImport.objects.get().pk]))

    assert b"<script>x" not in page.content
    assert b"<i>n</i>" not in page.content


def test_a_file_without_name_or_plant_is_asked_for(client: Client):
    response = client.post(reverse("register-files"), {})

    assert response.status_code == 400
    assert b"required" in response.content
