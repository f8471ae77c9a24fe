"""The register's pages for each role: what they show, what they refuse, what they keep."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from plant.models import Belt, Conveyor, Plant
from plant.roles import Role
from tests.plant.factories import (
    make_complete_conveyor,
    make_conveyor,
    make_person,
    make_plant,
    signed_in,
)
from tests.plant.register_site import (
    COMPONENT_FORM,
    CONVEYOR_FORM,
    address,
    client_of,
    form_addresses,
    quay_belt,
)

pytestmark = pytest.mark.django_db
KEEPERS = [Role.PLANNER, Role.LEAD, Role.ADMINISTRATOR]
READERS = [Role.CLERK, Role.TECHNICIAN]


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return quay_belt(plant)


@pytest.fixture
def planner(plant: Plant) -> Client:
    return client_of(Role.PLANNER, plant)


@pytest.mark.parametrize("role", [*KEEPERS, *READERS])
def test_every_role_sees_the_list_and_the_sheet(role, plant, conveyor):
    client = signed_in(make_person(role, plants=[plant]))

    listed = client.get(reverse("conveyors"))
    sheet = client.get(address(conveyor))

    assert "Q30" in listed.text
    assert "the quay belt" in listed.text
    for words in ("walkway side", "sea side", "2.50 m/s", "Take-up", "S2", "Load point", "<svg"):
        assert words in sheet.text
    assert ("New conveyor" in listed.text) == (role in KEEPERS)
    assert (address(conveyor, "conveyor-edit") in sheet.text) == (role in KEEPERS)


@pytest.mark.parametrize("role", KEEPERS)
def test_keepers_of_the_register_get_every_form(role, plant, conveyor):
    client = signed_in(make_person(role, plants=[plant]))

    for url in form_addresses(conveyor):
        assert client.get(url).status_code == 200, url


@pytest.mark.parametrize("role", READERS)
def test_others_get_and_send_no_form(role, plant, conveyor):
    client = signed_in(make_person(role, plants=[plant]))

    for url in form_addresses(conveyor):
        assert client.get(url).status_code == 403, url
        assert client.post(url, COMPONENT_FORM).status_code == 403, url
    assert client.post(address(conveyor, "conveyor-take-back")).status_code == 403
    assert conveyor.components.count() == 11


def test_nobody_without_sign_in_sees_anything(conveyor):
    for url in [reverse("conveyors"), address(conveyor), *form_addresses(conveyor)]:
        answer = Client().get(url)
        assert answer.status_code == 302
        assert answer["Location"].startswith(reverse("sign-in"))


def test_a_conveyor_of_another_plant_is_not_there(conveyor):
    stranger = signed_in(make_person(Role.ADMINISTRATOR, plants=[make_plant()]))

    assert "Q30" not in stranger.get(reverse("conveyors")).text
    urls = [address(conveyor), *form_addresses(conveyor)]
    for url in urls:
        if url != reverse("conveyor-new"):
            assert stranger.get(url).status_code == 404, url
            assert stranger.post(url, COMPONENT_FORM).status_code in {404, 405}, url
    assert conveyor.components.count() == 11


def test_a_new_conveyor_cannot_be_put_into_another_plant(planner):
    other = make_plant()

    answer = planner.post(reverse("conveyor-new"), {**CONVEYOR_FORM, "plant": other.pk})

    assert answer.status_code == 400
    assert not Conveyor.objects.exists()


@pytest.mark.parametrize("tag", ["nothing", "Q30%00", "..", "Q30/x"])
def test_a_tag_that_is_not_there_is_404(planner, conveyor, tag):
    url = f"/conveyors/{conveyor.plant.code}/{tag}/"

    assert planner.get(url).status_code == 404


def test_a_tag_in_small_letters_leads_to_the_conveyor(planner, conveyor):
    answer = planner.get(f"/conveyors/{conveyor.plant.code}/q30/")

    assert answer.status_code == 302
    assert answer["Location"] == address(conveyor)


def test_a_sheet_says_what_is_missing_and_offers_to_lay_it_out(planner, plant):
    row = make_conveyor(plant)

    page = planner.get(address(row)).text

    assert "The head pulley and the tail pulley are missing." in page
    assert address(row, "conveyor-lay-out") in page
    assert "No belt is fitted." in page


def test_a_sheet_asks_about_what_is_unlikely(planner, conveyor):
    Belt.objects.update(length_m=180)
    Conveyor.objects.update(centre_distance_m=140)

    page = planner.get(address(conveyor)).text

    assert "shorter than its path" in page
    assert "Which of the two is right?" in page
    assert "shorter than its path" in planner.get(reverse("conveyors")).text


def test_belt_splice_and_mark_go_through_their_forms(planner, plant):
    row = make_conveyor(plant)
    belt = {"width_mm": "1200", "length_m": "200", "carcass": "EP", "name": "B 2026"}
    planner.post(address(row, "belt-fit"), belt)
    fitted = row.belts.get()

    splice = {"name": "S1", "belt_position_m": "0"}
    mark = {"kind": "repair", "belt_position_m": "40", "length_m": "2", "side": "right"}
    planner.post(address(row, "splice-new", fitted.pk), splice)
    planner.post(address(row, "mark-new", fitted.pk), mark)
    past = planner.post(
        address(row, "splice-new", fitted.pk), {"name": "S2", "belt_position_m": "200"}
    )
    again = planner.post(address(row, "belt-fit"), belt)

    page = planner.get(address(row)).text
    assert "S1" in page
    assert "right (sea side)" in page
    assert past.status_code == 409
    assert "belt_position_m" in past.context["form"].errors
    assert again.status_code == 409
    assert row.belts.count() == 1


def test_a_belt_is_taken_off_by_date_and_put_back(planner, conveyor):
    belt = conveyor.belts.get()
    take_off = address(conveyor, "belt-take-off", belt.pk)

    assert planner.post(take_off, {"removed_on": "2999-01-01"}).status_code == 409
    planner.post(take_off, {"removed_on": "2026-01-05"})
    assert "No belt is fitted." in planner.get(address(conveyor)).text
    planner.post(address(conveyor, "belt-put-back", belt.pk))

    belt.refresh_from_db()
    assert belt.removed_on is None


@pytest.mark.parametrize("sent", [{}, {"x": "\x00"}, {"version": "1"}])
def test_an_empty_or_odd_form_is_refused_everywhere_without_a_defect(planner, conveyor, sent):
    asks = ("remove", "retire")
    for url in form_addresses(conveyor):
        if not url.rstrip("/").endswith(asks):
            assert planner.post(url, sent).status_code == 400, url


def test_words_in_the_register_are_shown_as_words(planner, plant):
    script = "<script>alert(1)</script>"
    row = make_complete_conveyor(plant, name=script, nicknames=[script], left_words=script[:40])
    row.components.filter(name="Take-up").update(name=script)

    page = planner.get(address(row)).text

    assert script not in page
    assert "&lt;script&gt;" in page


def test_the_list_asks_the_database_the_same_for_one_conveyor_as_for_many(
    plant, conveyor, planner, django_assert_num_queries
):
    url = reverse("conveyors")
    planner.get(url)
    with CaptureQueriesContext(connection) as for_one:
        planner.get(url)

    for number in range(8):
        make_complete_conveyor(plant, tag=f"M{number}")
    make_conveyor(plant, tag="EMPTY")

    with django_assert_num_queries(len(for_one)):
        assert "EMPTY" in planner.get(url).text


def test_the_sheet_asks_the_database_the_same_however_much_stands_on_it(
    conveyor, planner, django_assert_num_queries
):
    planner.get(address(conveyor))
    with CaptureQueriesContext(connection) as for_few:
        planner.get(address(conveyor))

    for number in range(60):
        conveyor.components.create(
            name=f"Section {number}", kind="structure_section", run="return", first_m=110 + number
        )
    belt = conveyor.belts.get()
    for number in range(10):
        belt.splices.create(name=f"N{number}", belt_position_m=10 + number)
        belt.marks.create(kind="tear", belt_position_m=10 + number)

    with django_assert_num_queries(len(for_few)):
        assert planner.get(address(conveyor)).status_code == 200


def test_many_components_are_paged_and_the_drawing_leads_to_the_right_page(conveyor, planner):
    for number in range(60):
        conveyor.components.create(
            name=f"Section {number}", kind="structure_section", run="return", first_m=110 + number
        )
    tail = conveyor.components.get(kind="tail_pulley")

    first = planner.get(address(conveyor)).text
    second = planner.get(address(conveyor), {"parts": "2"}).text

    assert f'href="?parts=2#part-{tail.pk}"' in first
    assert f'id="part-{tail.pk}"' not in first
    assert f'id="part-{tail.pk}"' in second


def test_the_list_is_paged_filtered_and_searched(plant, planner):
    for number in range(30):
        make_conveyor(plant, tag=f"N{number:02}", area="Yard" if number % 2 else "Pit")
    make_conveyor(plant, tag="Z1", nicknames=["the climber"], area="Yard")

    def tags(**asked: str) -> list[str]:
        page = planner.get(reverse("conveyors"), asked).context["page"]
        return [row.conveyor.tag for row in page.object_list]

    assert tags() == [f"N{number:02}" for number in range(25)]
    assert tags(page="2") == ["N25", "N26", "N27", "N28", "N29", "Z1"]
    assert tags(page="99") == tags(page="2")
    assert tags(area="Pit") == [f"N{number:02}" for number in range(0, 30, 2)]
    assert tags(q="climbr") == ["Z1"]
    assert tags(q="climber", area="Pit") == []
    assert tags(area="nowhere") == tags()
    assert tags(q="x" * 500) == tags()


def test_an_empty_list_says_what_to_do_first(plant, planner):
    clerk = client_of(Role.CLERK, plant)

    assert "Begin with one that people complain about" in planner.get(reverse("conveyors")).text
    assert "Planners and reliability leads" in clerk.get(reverse("conveyors")).text
    assert "Ask for less" in planner.get(reverse("conveyors"), {"q": "nothing"}).text
