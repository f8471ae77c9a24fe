"""Pages of idler sets: a line makes a group, sets are put in, taken out, shifted, taken back."""

import re
from http import HTTPStatus

import pytest
from django.test import Client

from plant import signals
from plant.models import Component, Conveyor, Plant
from plant.roles import Role
from tests.plant.factories import make_plant
from tests.plant.register_site import address, client_of, quay_belt

pytestmark = pytest.mark.django_db
LINE = "troughing idlers, 45 deg, every 0,5 m from 95 m to 98.2 m"


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    """C1 to C60 every 1.5 m from 6 m, head pulley at 100 m."""
    return quay_belt(plant)


@pytest.fixture
def keeper(plant: Plant) -> Client:
    return client_of(Role.LEAD, plant)


def plain(content: bytes) -> str:
    text = re.sub(r"<[^>]+>", " ", content.decode())
    return re.sub(r"\s+", " ", text.replace("\N{NO-BREAK SPACE}", " "))


def shown(client: Client, where: str, said: dict[str, str]) -> tuple[int, str]:
    answer = client.get(where, said)
    return answer.status_code, plain(answer.content)


def stamp(client: Client, where: str) -> str:
    page = client.get(where, {"line": LINE, "name": "C20", "series": "C", "by_m": "0.1"})
    found = re.search(r'name="stamp" value="(\w+)"', page.content.decode())
    assert found, plain(page.content)
    return found[1]


def save(client: Client, conveyor: Conveyor, name: str, said: dict[str, str]):
    """What a keeper does: looks at the preview, then saves what it holds."""
    where = address(conveyor, name)
    page = client.get(where, said)
    assert page.status_code == HTTPStatus.OK, plain(page.content)
    form = page.content.decode().split('<form method="post" class="form">')[1]
    held = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    return client.post(where, held)


def sets(conveyor: Conveyor) -> dict[str, float]:
    return {
        station.name: round(station.position_m, 3)
        for row in conveyor.components.all()
        if row.as_part().is_idler
        for station in row.as_part().stations()
    }


def test_a_line_shows_what_it_makes_before_anything_is_saved(keeper: Client, conveyor: Conveyor):
    before = sets(conveyor)

    code, text = shown(keeper, address(conveyor, "idlers-new"), {"line": LINE.replace("95", "96")})

    assert code == HTTPStatus.OK
    assert "Sets 5" in text
    assert "CA1 at 96 m" in text
    assert "CA5 at 98 m, 0.200 m before the end" in text
    assert "nothing" in text
    assert "The line says 45°, the conveyor is kept with a trough angle of 35°." in text
    assert sets(conveyor) == before


def test_a_line_that_overlaps_names_what_stands_there(keeper: Client, conveyor: Conveyor):
    where = address(conveyor, "idlers-new")

    code, text = shown(keeper, where, {"line": "return idlers every 1 m from 110 m to 120 m"})

    assert code == HTTPStatus.CONFLICT
    assert "R, 105 to 132 m" in text
    assert "may not overlap" in text
    assert "Save it so" not in text


def test_a_line_is_saved_as_one_row(keeper: Client, conveyor: Conveyor):
    said = {"line": "numbered from 61, named C: troughing every 0.5 m from 96 to 98"}

    answer = save(keeper, conveyor, "idlers-new", {"line": said["line"].replace(":", ",")})

    assert answer["Location"] == address(conveyor, "idlers")
    row = Component.objects.get(conveyor=conveyor, set_prefix="C")
    assert (row.count, row.first_number, str(row.first_m)) == (5, 61, "96.000")
    assert sets(conveyor)["C65"] == 98.0
    # One of the series now, whatever the rows.
    assert "C1 … C65 65 6 m 98 m" in shown(keeper, address(conveyor, "idlers"), {})[1]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("", "This field is required"),
        ("some idlers", "“some” could not be read"),
        ("return every 1 m from 110 m", "The end is missing"),
        ("return every 1 m from 110 m on the carrying run to 120 m", "on the carrying run"),
        ("x" * 500, "at most 200"),
        ("C\x00: return every 1 m from 110 m to 112 m", "Null characters"),
    ],
)
def test_a_line_that_is_not_read_says_so_with_the_accepted_form(
    keeper: Client, conveyor: Conveyor, line: str, words: str
):
    before = sets(conveyor)
    where = address(conveyor, "idlers-new")

    code, text = shown(keeper, where, {"line": line})

    assert code == HTTPStatus.BAD_REQUEST
    assert words in text
    assert "every 1.2 m from 6 m to 310 m" in text
    assert keeper.post(where, {"line": line}).status_code == HTTPStatus.BAD_REQUEST
    assert sets(conveyor) == before


def test_a_set_is_taken_out_after_a_look_and_taken_back(keeper: Client, conveyor: Conveyor):
    before = sets(conveyor)
    rows = conveyor.components.count()
    where = address(conveyor, "idlers-take-out")

    _code, text = shown(keeper, where, {"name": "c20"})
    assert "93 idler sets before, 92 after" in text
    assert sets(conveyor) == before

    answer = save(keeper, conveyor, "idlers-take-out", {"name": "c20"})
    left = dict(before)
    del left["C20"]
    assert sets(conveyor) == left

    page = keeper.get(answer["Location"]).content.decode()
    back = re.search(r'href="([^"]+)">Take that change back', page)
    assert back
    path, _mark, query = back[1].replace("&amp;", "&").partition("?")
    said = dict(re.findall(r"(\w+)=([^&]*)", query))
    assert path == address(conveyor, "idlers-put-in")
    save(keeper, conveyor, "idlers-put-in", said)
    assert sets(conveyor) == before
    assert conveyor.components.count() == rows


def test_a_set_is_put_in_and_the_row_is_split(keeper: Client, conveyor: Conveyor):
    said = {"series": "c", "at_m": "35,25", "name": "C20A", "kind": "self_aligning_idler"}

    save(keeper, conveyor, "idlers-put-in", said)

    assert sets(conveyor)["C20A"] == 35.25
    assert Component.objects.get(name="C20A").kind == "self_aligning_idler"
    first, second = conveyor.components.filter(kind="troughing_idlers")
    assert (first.name, first.count, first.version) == ("C", 20, 2)
    assert (second.first_number, second.count) == (21, 40)


def test_sets_are_shifted_and_numbered_anew(keeper: Client, conveyor: Conveyor):
    save(keeper, conveyor, "idlers-shift", {"series": "C", "from_number": "21", "by_m": "0,4"})
    save(
        keeper,
        conveyor,
        "idlers-renumber",
        {"series": "C", "from_number": "21", "to_number": "101"},
    )

    there = sets(conveyor)
    assert (there["C20"], there["C101"], there["C140"]) == (34.5, 36.4, 94.9)
    assert "C21" not in there


@pytest.mark.parametrize(
    ("name", "said", "code", "words"),
    [
        ("take-out", {"name": "C99"}, 409, "No idler set of this conveyor is called “C99”."),
        ("take-out", {"name": "C1\x00"}, 400, "Null characters"),
        ("take-out", {"name": "C" * 300}, 400, "at most 40"),
        ("put-in", {"series": "C", "at_m": "6", "name": "X"}, 409, "C1 stands at 6.0 m already"),
        ("put-in", {"series": "C", "at_m": "7", "name": "Q"}, 409, "is called “Q”"),
        ("put-in", {"series": "C", "at_m": "7", "name": "Tail pulley"}, 409, "Tail pulley"),
        ("put-in", {"series": "C", "at_m": "NaN", "name": "X"}, 400, "Enter a number"),
        ("put-in", {"series": "C", "at_m": "1e9", "name": "X"}, 400, "no more than"),
        ("put-in", {"series": "C", "at_m": "99.9995", "name": "X"}, 400, "decimal places"),
        ("put-in", {"series": "C", "at_m": "150", "name": "X"}, 409, "past the head pulley"),
        ("put-in", {"series": "C", "at_m": "7", "name": "X", "kind": "moon"}, 400, "moon"),
        ("shift", {"series": "C", "by_m": "99999"}, 409, "past"),
        ("shift", {"series": "C", "by_m": "-20"}, 409, "before 0 m"),
        ("shift", {"series": "C", "by_m": "7"}, 409, "past the head pulley"),
        ("shift", {"series": "C", "by_m": "1", "from_number": "0"}, 400, "greater than or equal"),
        ("renumber", {"series": "C", "from_number": "9" * 30, "to_number": "1"}, 400, "99999"),
        ("renumber", {"series": "C", "from_number": "10", "to_number": "3"}, 409, "is 10"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_beside_its_field_and_nothing_is_saved(
    keeper: Client, conveyor: Conveyor, name: str, said: dict[str, str], code: int, words: str
):
    before = sets(conveyor)
    where = address(conveyor, f"idlers-{name}")

    answer = shown(keeper, where, said)

    assert answer[0] == code, answer[1]
    assert words in answer[1]
    posted = keeper.post(where, {**said, "stamp": stamp(keeper, address(conveyor, "idlers-shift"))})
    assert posted.status_code == code
    assert sets(conveyor) == before


def test_a_preview_that_is_out_of_date_saves_nothing(keeper: Client, conveyor: Conveyor):
    where = address(conveyor, "idlers-take-out")
    old = stamp(keeper, where)
    Component.objects.filter(name="C").update(version=7)
    before = sets(conveyor)

    for sent in ({"name": "C20", "stamp": old}, {"name": "C20"}):
        answer = keeper.post(where, sent)
        assert answer.status_code == HTTPStatus.CONFLICT
        assert "look at what would happen now" in plain(answer.content)
    assert sets(conveyor) == before


def test_the_rooms_above_hear_of_a_change(keeper: Client, conveyor: Conveyor):
    heard = []

    def hear(conveyor: Conveyor, **_more: object) -> None:
        heard.append(conveyor.pk)

    signals.register_changed.connect(hear)
    try:
        save(keeper, conveyor, "idlers-take-out", {"name": "C20"})
    finally:
        signals.register_changed.disconnect(hear)

    assert heard == [conveyor.pk]


@pytest.mark.parametrize("role", [Role.TECHNICIAN, Role.CLERK])
@pytest.mark.parametrize("name", ["idlers", "idlers-new", "idlers-take-out", "idlers-put-in"])
def test_only_keepers_of_the_register_come_in(
    plant: Plant, conveyor: Conveyor, role: Role, name: str
):
    visitor = client_of(role, plant)

    assert visitor.get(address(conveyor, name)).status_code == HTTPStatus.FORBIDDEN
    posted = visitor.post(address(conveyor, name), {"name": "C20"})
    assert posted.status_code in {HTTPStatus.FORBIDDEN, HTTPStatus.METHOD_NOT_ALLOWED}


def test_the_idlers_of_another_plant_are_not_found(conveyor: Conveyor):
    stranger = client_of(Role.LEAD, make_plant())

    for name in ("idlers", "idlers-new", "idlers-shift"):
        assert stranger.get(address(conveyor, name)).status_code == HTTPStatus.NOT_FOUND


def test_an_undo_that_was_made_up_leads_nowhere_else(keeper: Client, conveyor: Conveyor):
    page = keeper.get(address(conveyor, "idlers"), {"undo": "https://elsewhere.example"})

    assert page.status_code == HTTPStatus.OK
    assert "elsewhere" not in page.content.decode()


def test_a_line_over_two_lines_is_one_line(keeper: Client, conveyor: Conveyor):
    where = address(conveyor, "idlers-new")

    code, text = shown(keeper, where, {"line": "troughing idlers\r\nevery 1 m from 96 m\nto 98 m"})

    assert code == HTTPStatus.OK
    assert "CA3 at 98 m" in text
