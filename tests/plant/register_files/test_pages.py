"""The pages about register files, by role and by plant."""

import io
import re
from datetime import timedelta
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant import import_words
from plant.models import Conveyor, Plant, RegisterImport, User
from plant.register_files.sheets import SHEETS
from plant.roles import Role
from plant.services import importing
from tests.plant.factories import make_complete_conveyor, make_person, make_plant, signed_in
from tests.plant.register_files.imports import send, workbook_of

pytestmark = pytest.mark.django_db
KEEPERS = [Role.PLANNER, Role.LEAD, Role.ADMINISTRATOR]
OTHERS = [Role.CLERK, Role.TECHNICIAN]
_TABLE = b"Tag,Name,Belt speed,Centre distance\nCV-1,Quay,2,100\n"


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture
def by(plant: Plant) -> User:
    return make_person(Role.PLANNER, plants=[plant])


@pytest.fixture
def client(by: User) -> Client:
    return signed_in(by)


def _post(client: Client, plant: Plant, content: bytes = _TABLE) -> Any:
    sent = {"plant": plant.pk, "file": SimpleUploadedFile("list.csv", content), "sheet": ""}
    return client.post(reverse("register-files"), sent, follow=True)


@pytest.mark.parametrize("role", KEEPERS)
def test_keepers_send_look_and_take_in(role: Role, plant: Plant):
    client = signed_in(make_person(role, plants=[plant]))

    page = _post(client, plant).content.decode()
    one = RegisterImport.objects.get()
    assert "Take in 1 row" in page
    asked = client.get(reverse("register-import-apply", args=[one.pk])).content.decode()
    assert "Take the file in?" in asked
    assert not Conveyor.objects.exists()

    done = client.post(reverse("register-import-apply", args=[one.pk]), follow=True)
    assert "All of the file is in the register." in done.content.decode()
    assert Conveyor.objects.get().tag == "CV-1"


@pytest.mark.parametrize("role", OTHERS)
def test_nobody_else_sends_or_takes_out(role: Role, plant: Plant, by: User):
    one = send(plant, by, _TABLE)
    client = signed_in(make_person(role, plants=[plant]))

    assert _post(client, plant).status_code == 403
    for name in ("apply", "stop", "again", "leave"):
        url = reverse(f"register-import-{name}", args=[one.pk])
        assert client.post(url).status_code == 403
    assert client.get(reverse("register-export", args=[plant.code])).status_code == 403
    assert not Conveyor.objects.exists()


def test_a_plant_of_others_is_no_choice(client: Client):
    other = make_plant()

    assert _post(client, other).status_code == 400
    assert not RegisterImport.objects.exists()


def test_a_row_tells_old_and_new_in_words(client: Client, plant: Plant):
    make_complete_conveyor(plant, tag="CV-1", take_up_kind="gravity", speed_mps=2.5)
    table = b"Tag,Name,Belt speed,Centre distance,Take-up\nCV-1,Quay,3,100,screw\n"

    page = _post(client, plant, table).content.decode()

    assert "<del>gravity</del> → <ins>screw</ins>" in page
    assert "<del>2.5\xa0m/s</del> → <ins>3\xa0m/s</ins>" in page


def test_rows_come_in_pages_and_by_kind(client: Client, plant: Plant):
    rows = "".join(f"CV-{n},N,2,100\n" for n in range(2, 122)) + "/bad,N,2,100\n"
    _post(client, plant, (_TABLE.decode() + rows).encode())
    url = reverse("register-import", args=[RegisterImport.objects.get().pk])

    # What is refused comes first, if anything is.
    assert client.get(url).content.decode().count('<tr class="refused">') == 1
    new = client.get(url, {"kind": "new"}).content.decode()
    assert new.count('<tr class="new">') == 50
    assert "Page 1 of 3" in new
    assert client.get(url, {"kind": "nonsense", "sheet": "'", "page": "x"}).status_code == 200


def test_a_page_of_rows_asks_the_database_the_same_whatever_its_length(
    client: Client, plant: Plant, django_assert_max_num_queries: Any
):
    rows = "".join(f"CW-{n},N,2,100\n" for n in range(120))
    _post(client, plant, (_TABLE.decode() + rows).encode())

    with django_assert_max_num_queries(12):
        client.get(reverse("register-import", args=[RegisterImport.objects.get().pk]))


def test_a_long_file_shows_how_far_it_is_and_can_be_stopped(client: Client, plant: Plant):
    rows = "".join(f"CW-{n},{'N' * 100},2,100\n" for n in range(6000))
    page = _post(client, plant, (_TABLE.decode() + rows).encode()).content.decode()
    one = RegisterImport.objects.get()
    assert "waiting to be read" in page
    progress = reverse("register-import-progress", args=[one.pk])
    assert "HX-Refresh" not in client.get(progress)

    client.post(reverse("register-import-stop", args=[one.pk]))

    assert client.get(progress)["HX-Refresh"] == "true"
    assert importing.do_owed() == 0
    one.refresh_from_db()
    assert one.state == RegisterImport.State.STOPPED
    client.post(reverse("register-import-again", args=[one.pk]))
    assert importing.do_owed() == 1
    one.refresh_from_db()
    assert one.counts == {"conveyors": {"new": 6001}}


def test_a_file_put_aside_is_not_taken_in(client: Client, plant: Plant):
    _post(client, plant)
    one = RegisterImport.objects.get()

    client.post(reverse("register-import-leave", args=[one.pk]))

    assert client.post(reverse("register-import-apply", args=[one.pk])).status_code == 409
    assert not Conveyor.objects.exists()


def test_old_files_are_forgotten_and_that_they_came_is_not(plant: Plant, by: User):
    one = send(plant, by, _TABLE)
    long_ago = timezone.now() - timedelta(days=31)
    RegisterImport.objects.filter(pk=one.pk).update(made_at=long_ago)

    importing.do_owed()

    one.refresh_from_db()
    assert (one.file.name, one.rows.count(), one.state) == ("", 0, RegisterImport.State.LEFT)


def test_templates_hold_every_sheet_and_nothing_that_is_read(client: Client, plant: Plant):
    book = client.get(reverse("register-template"))

    sheets = openpyxl.load_workbook(io.BytesIO(book.content)).sheetnames
    assert sheets == [sheet.title for sheet in SHEETS]
    assert "no rows below it" in _post(client, plant, book.content).content.decode()
    for sheet in SHEETS:
        table = client.get(reverse("register-template-sheet", args=[sheet.code]))
        assert table.content.startswith(b"\xef\xbb\xbfPlant,")
        assert "no rows below it" in _post(client, plant, table.content).content.decode()
    assert client.get("/conveyors/files/template/nothing.csv").status_code == 404


def test_an_export_holds_the_plant_alone_and_no_formula(client: Client, plant: Plant):
    make_complete_conveyor(plant, tag="CV-1", name="=HYPERLINK(0)")
    make_complete_conveyor(make_plant(), tag="CV-99")

    book = openpyxl.load_workbook(
        io.BytesIO(client.get(reverse("register-export", args=[plant.code])).content)
    )
    cells = [cell for row in book["Conveyors"].iter_rows(min_row=2) for cell in row]

    assert {cell.data_type for cell in cells} <= {"s", "n", "d"}
    assert "'=HYPERLINK(0)" in [cell.value for cell in cells]
    assert "CV-99" not in [cell.value for cell in cells]
    table = client.get(reverse("register-export-sheet", args=[plant.code, "conveyors"]))
    assert b",'=HYPERLINK(0)," in table.content
    other = make_plant()
    assert client.get(reverse("register-export", args=[other.code])).status_code == 404


def test_what_was_taken_out_is_unchanged_when_it_comes_back(client: Client, plant: Plant):
    make_complete_conveyor(plant, name="=1+1")

    page = _post(client, plant, workbook_of(plant)).content.decode()

    assert "Nothing in the file differs from the register." in page


def test_every_reason_has_words():
    room = Path(import_words.__file__).parent
    files = [*(room / "register_files").glob("*.py"), *(room / "services").glob("import*.py")]
    used = {
        code
        for file in files
        for code in re.findall(
            r"(?:Reason|CellRefused|FileRefused)\(\s*\"([a-z_]+)\"", file.read_text("utf-8")
        )
    }

    assert len(used) > 50
    assert used <= {*import_words.FILE, *import_words.ROWS, *import_words.REMARKS}
