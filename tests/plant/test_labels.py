"""Labels: the sheet divided, the codes read back by a decoder, the pages around them."""

import re
from http import HTTPStatus
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from plant.labels.layout import SheetLayout, sheets_of
from plant.loop.vocabulary import ComponentKind, Run
from plant.models import Conveyor, Plant
from plant.roles import Role
from tests import pdf_reader
from tests.plant import camera
from tests.plant.factories import make_component, make_conveyor, make_person, make_plant, signed_in
from tests.plant.register_site import address, client_of, quay_belt

HOST = "http://plant.larkwater.example"
USUAL = {
    "opens": "page",
    "itself": "on",
    "across": "3",
    "down": "7",
    "margin_mm": "10",
    "gap_mm": "3",
    "skip": "0",
}


class TestLayout:
    def test_labels_gaps_and_margins_fill_the_sheet(self):
        layout = SheetLayout(across=3, down=7, margin_mm=10, gap_mm=3)

        # (210 - 20 - 6) / 3 and (297 - 20 - 18) / 7.
        assert layout.label_width_mm == pytest.approx(61.33, abs=0.01)
        assert layout.label_height_mm == pytest.approx(37.0)
        assert layout.is_wide
        assert layout.is_readable

    def test_a_label_too_small_for_its_code_is_known(self):
        assert not SheetLayout(across=8, down=20).is_readable
        assert not SheetLayout(across=1, down=20, gap_mm=20).is_readable

    @pytest.mark.parametrize(
        ("count", "skip", "sizes"),
        [(0, 0, []), (1, 0, [1]), (21, 0, [21]), (22, 0, [21, 1]), (22, 20, [1, 21]), (1, 20, [1])],
    )
    def test_used_places_push_labels_on(self, count, skip, sizes):
        found = sheets_of(count, SheetLayout(skip=skip))

        assert [len(one) for one in found] == sizes
        assert [place for one in found for place in one] == list(range(count))

    def test_a_sheet_cannot_have_more_places_used_than_it_has(self):
        with pytest.raises(ValueError, match="fewer places"):
            sheets_of(1, SheetLayout(skip=21))


@pytest.fixture
def plant(db: None) -> Plant:
    return make_plant(code="LT", name="Larkwater Terminal")


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return quay_belt(plant)


@pytest.fixture
def planner(plant: Plant, settings: SimpleNamespace) -> Client:
    settings.ALLOWED_HOSTS = ["plant.larkwater.example", "testserver"]
    client = client_of(Role.PLANNER, plant)
    client.defaults["SERVER_NAME"] = "plant.larkwater.example"
    return client


def sheet(client: Client, conveyor: Conveyor, kind: str = "pdf", **asked: object) -> bytes:
    where = address(conveyor, "conveyor-label-sheet", kind)
    response = client.get(where, {**USUAL, **asked})
    assert response.status_code == HTTPStatus.OK, response.content
    return response.content


def follow(client: Client, code: str):
    assert code.startswith(f"{HOST}/")
    return client.get(code.removeprefix(HOST))


def test_the_code_of_a_conveyor_opens_its_page_on_this_host(planner: Client, conveyor: Conveyor):
    (codes,) = camera.codes_of_pdf(sheet(planner, conveyor))

    assert codes == [f"{HOST}/conveyors/LT/Q30/"]
    assert follow(planner, codes[0]).status_code == HTTPStatus.OK


def test_the_code_of_a_component_opens_its_page_and_leads_to_its_row(
    planner: Client, conveyor: Conveyor
):
    for number in range(60):
        make_component(
            conveyor, f"G{number}", ComponentKind.STRUCTURE_SECTION, Run.CARRYING, f"{number + 7}.1"
        )
    asked = {"itself": "", "kinds": ["tail_pulley"]}
    (codes,) = camera.codes_of_pdf(sheet(planner, conveyor, **asked))
    (tail,) = conveyor.components.filter(kind="tail_pulley")

    page = follow(planner, codes[0]).content.decode()
    assert "<h1>Tail pulley" in page
    row = f"part-{tail.pk}"
    (path,) = re.findall(rf'href="([^"]+)#{row}"', page)
    # It stands on the second page of the table.
    assert f'id="{row}"' in planner.get(path).content.decode()
    assert f'id="{row}"' not in planner.get(address(conveyor)).content.decode()


def test_the_codes_of_chosen_idler_sets_open_the_page_of_each(planner: Client, conveyor: Conveyor):
    asked = {"itself": "", "sets": "C11-C12, R3"}
    (codes,) = camera.codes_of_pdf(sheet(planner, conveyor, **asked))

    pages = [planner.get(code.removeprefix(HOST), follow=True).content.decode() for code in codes]
    headings = sorted(re.findall(r"<h1>Set (\w+) of Q30", " ".join(pages)))
    assert headings == ["C11", "C12", "R3"]


def test_sets_that_do_not_stand_are_refused_beside_their_field(planner: Client, conveyor: Conveyor):
    response = planner.get(address(conveyor, "conveyor-labels"), {**USUAL, "sets": "C99"})

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert "no such set stands here" in response.content.decode()


def test_the_other_kind_of_label_opens_a_complaint_for_the_place(planner, conveyor):
    asked = {"opens": "complaint", "kinds": ["head_pulley"]}
    (codes,) = camera.codes_of_pdf(sheet(planner, conveyor, **asked))

    for code in codes:
        text = follow(planner, code).content.decode()
        assert f'value="{conveyor.pk}"' in text
        assert "Q30" in text
    assert '<option value="head" selected>' in text


def test_all_labels_are_there_in_order_with_their_words(planner: Client, conveyor: Conveyor):
    kinds = sorted({part.kind for part in conveyor.components.all()})
    pdf = sheet(planner, conveyor, kinds=kinds, across="2", down="4")
    pages = camera.codes_of_pdf(pdf)
    words = pdf_reader.words_of(pdf)

    assert [len(page) for page in pages] == [8, 4]
    parts = [address(conveyor, "component", part.pk) for part in conveyor.components.all()]
    assert [code.removeprefix(HOST) for page in pages for code in page] == [
        address(conveyor),
        *parts,
    ]
    for part in conveyor.components.all():
        assert part.name in words
    assert "head pulley, at 100.0 m" in words
    assert "Larkwater Terminal" in words


@pytest.mark.parametrize(
    ("across", "down", "margin", "gap"),
    [(1, 1, 0, 0), (1, 10, 15, 5), (2, 2, 40, 20), (5, 5, 5, 0), (6, 7, 4, 2), (3, 8, 10, 0)],
)
def test_codes_are_readable_at_every_size(planner, conveyor, across, down, margin, gap):
    kinds = sorted({part.kind for part in conveyor.components.all()})
    asked = {"kinds": kinds, "across": across, "down": down, "margin_mm": margin, "gap_mm": gap}

    pages = camera.codes_of_pdf(sheet(planner, conveyor, **asked))

    assert sum(len(page) for page in pages) == 12
    assert len(pages[0]) == min(12, across * down)


def test_used_places_stay_empty(planner: Client, conveyor: Conveyor):
    pdf = sheet(planner, conveyor, skip="20", kinds=["head_pulley"])

    assert [len(page) for page in camera.codes_of_pdf(pdf)] == [1, 1]
    (picture, _next) = camera.pages_of(pdf)
    place = picture.crop((0, 0, picture.width, int(picture.height * 6 / 7)))
    assert camera.codes_on(place) == []


def test_the_preview_is_the_first_sheet(planner: Client, conveyor: Conveyor):
    kinds = sorted({part.kind for part in conveyor.components.all()})
    asked = {"kinds": kinds, "across": "2", "down": "4"}

    shown = camera.codes_of_png(sheet(planner, conveyor, "png", **asked))

    assert shown == camera.codes_of_pdf(sheet(planner, conveyor, **asked))[0]


def test_an_empty_address_asks_for_everything_usual(planner: Client, conveyor: Conveyor):
    response = planner.get(address(conveyor, "conveyor-labels"))

    assert "12 labels on 1 sheet." in response.content.decode()
    pdf = planner.get(address(conveyor, "conveyor-label-sheet", "pdf"))
    assert pdf["Content-Type"] == "application/pdf"
    assert pdf["Content-Disposition"].startswith("attachment")
    assert pdf["Cache-Control"] == "private, no-store"
    assert len(camera.codes_of_pdf(pdf.content)[0]) == 12


def test_nothing_chosen_is_said(planner: Client, conveyor: Conveyor):
    asked = {**USUAL, "itself": ""}

    for where in ("conveyor-labels", "conveyor-label-sheet"):
        more = ["pdf"] if where.endswith("sheet") else []
        text = planner.get(address(conveyor, where, *more), asked).content.decode()
        assert "Nothing is chosen to be labelled." in text


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"across": "8", "down": "20"}, "Put fewer on a sheet"),
        ({"skip": "21"}, "A sheet has only 21 places"),
        ({"skip": "-1"}, "greater than or equal to 0"),
        ({"across": "0"}, "greater than or equal to 1"),
        ({"down": "9" * 10_000}, "Enter a whole number"),
        ({"margin_mm": "nan"}, "Enter a number"),
        ({"margin_mm": "1e999"}, "Enter a number"),
        ({"gap_mm": "21"}, "less than or equal to 20"),
        ({"opens": "sesame"}, "Select a valid choice"),
        ({"kinds": "head\x00"}, "Select a valid choice"),
        ({"kinds": "plough"}, "Select a valid choice"),
        ({"across": ""}, "This field is required"),
    ],
)
@pytest.mark.parametrize("kind", ["", "pdf", "png"])
def test_a_sheet_that_cannot_be_is_refused_by_its_field(planner, conveyor, changed, said, kind):
    where = address(conveyor, "conveyor-label-sheet", kind) if kind else None
    asked = {**USUAL, **changed}
    response = planner.get(where or address(conveyor, "conveyor-labels"), asked)

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert said in response.content.decode()


def test_long_and_odd_names_stay_on_their_label(planner: Client, plant: Plant):
    odd = make_conveyor(plant, tag="W" * 40, name='#panic("x") *b* ' + "M" * 100, area="A" * 80)
    pdf = sheet(planner, odd, across="4", down="8")
    (picture,) = camera.pages_of(pdf)

    assert '#panic("x")' in pdf_reader.words_of(pdf)
    # A quarter of the width and an eighth of the height: all else is white.
    right = picture.crop((picture.width // 4 + 20, 0, picture.width, picture.height))
    below = picture.crop((0, picture.height // 8 + 40, picture.width, picture.height))
    assert {right.convert("L").getextrema(), below.convert("L").getextrema()} == {(255, 255)}
    assert len(camera.codes_on(picture)) == 1


class TestOfAllConveyors:
    def test_every_conveyor_in_service_has_one(self, planner: Client, plant: Plant, conveyor):
        make_conveyor(plant, tag="A1")
        make_conveyor(plant, tag="OLD", retired_on="2025-01-01")
        make_conveyor(make_plant(), tag="ELSEWHERE")

        (codes,) = camera.codes_of_pdf(planner.get(reverse("label-sheet", args=["pdf"])).content)

        assert codes == [f"{HOST}/conveyors/LT/A1/", f"{HOST}/conveyors/LT/Q30/"]

    def test_those_of_an_area(self, planner: Client, plant: Plant, conveyor: Conveyor):
        make_conveyor(plant, tag="A1", area="Yard")
        asked = {**USUAL, "area": "Quay"}

        pdf = planner.get(reverse("label-sheet", args=["pdf"]), asked).content

        assert camera.codes_of_pdf(pdf) == [[f"{HOST}/conveyors/LT/Q30/"]]

    def test_too_many_at_once_are_not_set(self, planner: Client, plant: Plant, monkeypatch):
        monkeypatch.setattr("plant.selectors.labels.MOST_LABELS", 2)
        for number in range(3):
            make_conveyor(plant, tag=f"A{number}")

        response = planner.get(reverse("label-sheet", args=["pdf"]))

        assert response["Content-Type"].startswith("text/html")
        assert "3 labels are too many at once; at most 2." in response.content.decode()

    def test_it_costs_the_same_however_many_there_are(
        self, planner, plant, conveyor, django_assert_num_queries
    ):
        planner.get(reverse("labels"))
        with django_assert_num_queries(7) as one:
            planner.get(reverse("labels"))
        for number in range(30):
            make_conveyor(plant, tag=f"A{number}")

        with django_assert_num_queries(len(one)):
            assert "31 labels" in planner.get(reverse("labels")).content.decode()


@pytest.mark.parametrize("role", Role)
def test_every_role_prints_labels_of_its_plants_only(role: Role, plant: Plant, conveyor: Conveyor):
    mine = signed_in(make_person(role, plants=[plant]))
    theirs = signed_in(make_person(role, plants=[make_plant()]))
    part = conveyor.components.first()

    for name, more in (
        ("conveyor-labels", []),
        ("conveyor-label-sheet", ["png"]),
        ("component", [part.pk]),
    ):
        assert mine.get(address(conveyor, name, *more)).status_code in {200, 302}
        assert theirs.get(address(conveyor, name, *more)).status_code == HTTPStatus.NOT_FOUND


@pytest.mark.parametrize("asked", ["0", "9" * 30, "x", "a\x00", "-1"])
def test_a_component_that_is_none_leaves_the_complaint_as_it_is(planner, conveyor, asked):
    where = reverse("complaint-new")
    response = planner.get(where, {"conveyor": conveyor.pk, "component": asked})

    assert response.status_code == HTTPStatus.OK
    assert f'value="{conveyor.pk}"' in response.content.decode()
