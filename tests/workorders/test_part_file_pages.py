"""A file of parts: looked at first, then taken in whole or not at all."""

import re
from decimal import Decimal
from http import HTTPStatus
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from plant.models import Plant
from tests.workorders.factories import make_plant
from tests.workorders.part_rows import make_part
from workorders.models import Part

pytestmark = pytest.mark.django_db
HEADER = "Part number;Name;Kind;Counted in;On hand;Also written as;Kept at\n"


def send(client: Client, plant: Plant, content: str | bytes) -> HttpResponse:
    data = content.encode() if isinstance(content, str) else content
    sent = SimpleUploadedFile("parts.csv", data)
    return client.post(reverse("parts-file"), {"plant": plant.pk, "file": sent})


def take(client: Client, preview: HttpResponse) -> HttpResponse:
    found = re.search(r'name="rows" value="([^"]+)"', preview.content.decode())
    assert found, preview.content.decode()
    return client.post(reverse("parts-file-take"), {"rows": found[1]})


def test_what_a_file_would_do_is_shown_and_then_done(planner: Client, plant: Plant):
    make_part(plant, "9", number="R-1", name="roll", kept_at="shed 1")
    make_part(plant, "2", number="R-2", name="roll")
    text = f"{HEADER}R-1;;;;7;;shed 2\nR-2;roll;roll;;2;;\nB-1;Belting;belt;m;12,5;belt piece;\n"

    preview = send(planner, plant, text)

    assert "1 new, 1 changed, 1 as they are, 0 that cannot be" in preview.content.decode()
    assert Part.objects.count() == 2
    take(planner, preview)
    roll, belt = Part.objects.get(number="R-1"), Part.objects.get(number="B-1")
    assert (roll.name, roll.kept_at, roll.on_hand) == ("roll", "shed 2", 7)
    assert roll.movements.get().change == -2
    assert (belt.unit, belt.on_hand, belt.known_as) == ("m", Decimal("12.50"), ["belt piece"])
    assert not Part.objects.get(number="R-2").movements.exists()


def test_our_own_file_comes_back_as_it_is(planner: Client, plant: Plant):
    make_part(plant, "12.5", number="=1+1", name="@belt", unit="m", known_as=["a", "b"])
    make_part(plant, "3", number="R-1", note="beside the door")

    for name in ("parts-csv", "parts-xlsx"):
        preview = send(planner, plant, planner.get(reverse(name)).content)

        assert "0 new, 0 changed, 2 as they are" in preview.content.decode(), name


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("R-9;;roll;pcs;1;;", "name is missing"),
        ("R-9;roll;spaceship;pcs;1;;", "is not known here"),
        ("R-9;roll;roll;pcs;2.5;;", "cannot be on hand"),
        ("R-9;roll;roll;pcs;-2;;", "cannot be on hand"),
        ("R-9;roll;roll;pcs;many;;", "is no number"),
        ("R-1;roll;roll;m;;;", "Units are changed on its page"),
        (";roll;roll;pcs;1;;", "part number is missing"),
        (f"{'R' * 41};roll;roll;pcs;1;;", "at most 40 characters"),
        ("R-8;roll;roll;pcs;1;;\nr-8;roll;roll;pcs;1;;", "say it once"),
    ],
)
def test_a_row_that_cannot_be_is_named_and_nothing_is_taken(
    planner: Client, plant: Plant, row: str, said: str
):
    make_part(plant, "9", number="R-1")

    response = send(planner, plant, f"{HEADER}R-7;good roll;roll;pcs;1;;\n{row}\n")

    assert response.status_code == 400
    page = response.content.decode()
    assert said in page
    assert "Take it in" not in page
    assert Part.objects.count() == 1


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("", "empty"),
        ("Name;Kind\nroll;roll\n", "column called Part number"),
        (HEADER, "no rows below it"),
        (b"PK\x03\x04 no workbook", "cannot be opened"),
    ],
)
def test_a_file_that_is_none_is_refused(
    planner: Client, plant: Plant, content: str | bytes, said: str
):
    response = send(planner, plant, content)

    assert response.status_code == 400
    assert said in response.content.decode()


def test_a_file_of_too_many_rows_is_refused_before_it_is_compared(planner: Client, plant: Plant):
    text = HEADER + "".join(f"R-{n};roll;roll;;1;;\n" for n in range(5_001))

    preview = send(planner, plant, text)

    assert preview.status_code == HTTPStatus.BAD_REQUEST
    assert "has more than 5000 rows" in preview.content.decode()


def test_a_small_workbook_that_unpacks_to_much_is_refused(planner: Client, plant: Plant):
    packed = BytesIO()
    with ZipFile(packed, "w", ZIP_DEFLATED) as book:
        book.writestr("[Content_Types].xml", "<Types/>")
        book.writestr("xl/workbook.xml", "<workbook/>")
        book.writestr("xl/worksheets/sheet1.xml", b" " * 41_000_000)

    answer = send(planner, plant, packed.getvalue())

    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert "40 MB" in answer.content.decode()


def test_what_was_changed_since_it_was_looked_at_is_not_overwritten(planner: Client, plant: Plant):
    part = make_part(plant, "9", number="R-1")
    preview = send(planner, plant, f"{HEADER}R-1;;;;7;;\nR-2;roll;roll;pcs;1;;\n")
    planner.post(reverse("part-count", args=[part.pk]), {"on_hand": "8", "version": part.version})

    response = take(planner, preview)

    assert response.status_code == 409
    assert "R-1 was changed meanwhile" in response.content.decode()
    part.refresh_from_db()
    assert (part.on_hand, Part.objects.count()) == (8, 1)


def test_taking_in_twice_is_refused(planner: Client, plant: Plant):
    preview = send(planner, plant, f"{HEADER}R-2;roll;roll;pcs;1;;\n")
    take(planner, preview)

    assert take(planner, preview).status_code == 409
    assert Part.objects.get().on_hand == 1


def test_only_what_was_looked_at_is_taken_in(planner: Client):
    response = planner.post(reverse("parts-file-take"), {"rows": "made up"})

    assert response["Location"] == reverse("parts-file")
    assert not Part.objects.exists()


def test_another_plant_s_file_is_not_taken_in(planner: Client, plant: Plant, technician: Client):
    elsewhere = make_plant()

    assert send(planner, elsewhere, f"{HEADER}R-2;roll;roll;pcs;1;;\n").status_code == 400
    row = f"Plant;{HEADER}{elsewhere.code};R-2;roll;roll;pcs;1;;\n"
    assert "This row is of" in send(planner, plant, row).content.decode()
    assert technician.get(reverse("parts-file")).status_code == 403
