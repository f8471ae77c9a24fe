"""Heights along the carrying run: typed or pasted, refused line by line, drawn, kept as history."""

import pytest
from django.urls import reverse

from plant.models import Conveyor, ConveyorChange
from plant.roles import Role
from tests.plant.factories import make_complete_conveyor, make_person, make_plant

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor():
    return make_complete_conveyor(make_plant())


@pytest.fixture
def keeper(client, conveyor):
    client.force_login(make_person(Role.PLANNER, plants=[conveyor.plant]))
    return client


def where(conveyor, name="conveyor-heights"):
    return reverse(name, args=[conveyor.plant.code, conveyor.tag])


def post(client, conveyor, text, measured="along", version=None):
    version = Conveyor.objects.get(pk=conveyor.pk).version if version is None else version
    form = {"profile": text, "measured": measured, "version": version}
    return client.post(where(conveyor), form)


@pytest.mark.parametrize(
    "text",
    [
        "0\t2\n20\t2,5\n50\t9,25",
        "0 2\n20 2.5\n50 9.25",
        "distance [m];height [m]\r\n0;2\r\n\r\n20;2,5\r\n50 m;9,25 m\r\n",
    ],
)
def test_two_columns_of_a_spreadsheet_are_taken_as_they_are(keeper, conveyor, text):
    answer = post(keeper, conveyor, text)

    assert answer.status_code == 302
    conveyor.refresh_from_db()
    assert conveyor.profile == [[0, 2], [20, 2.5], [50, 9.25]]
    page = keeper.get(answer.url).text
    assert "lengths to scale" in page


def test_distances_of_a_plan_become_metres_along_the_belt(keeper, conveyor):
    post(keeper, conveyor, "0 0\n4 3\n16 8", "across")

    conveyor.refresh_from_db()
    assert [at for at, _height in conveyor.profile] == [0, 5, 18]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("0 2\nabc\n9 3", "Line 2"),
        ("0 2\n5 3 4", "Line 2"),
        ("0 2\n5 3 kg", "Line 2"),
        ("0 2", "Two points are the least"),
        ("0 2\n9 3\n8 4", "Line 3"),
        ("0 2\n9 3\n9 4", "Line 3"),
        ("0 0\n5 9", "horizontally"),
        ("0 0\n1e400 9", "Line 2"),
        ("-4 0\n5 1", "from 0 m"),
        ("0 0\n" * 5000, ""),
    ],
)
def test_what_cannot_be_read_is_refused_and_kept_on_the_page(keeper, conveyor, text, says):
    answer = post(keeper, conveyor, text)

    assert answer.status_code == 400
    assert says in answer.text
    assert text.splitlines()[0] in answer.text
    conveyor.refresh_from_db()
    assert conveyor.profile == []


def test_empty_means_that_the_heights_are_not_known(keeper, conveyor):
    post(keeper, conveyor, "0 2\n50 9")
    post(keeper, conveyor, "  \n")

    conveyor.refresh_from_db()
    assert conveyor.profile == []
    assert "schematic, not to scale" in keeper.get(where(conveyor, "conveyor-drawing")).text


def test_a_form_opened_before_somebody_else_saved_is_refused(keeper, conveyor):
    version = conveyor.version
    post(keeper, conveyor, "0 2\n50 9")

    answer = post(keeper, conveyor, "0 2\n50 8", version=version)

    assert answer.status_code == 409
    conveyor.refresh_from_db()
    assert conveyor.profile[-1] == [50, 9]


def test_the_history_of_the_conveyor_tells_the_heights(keeper, conveyor):
    post(keeper, conveyor, "0 2\n50 9,5")

    assert ConveyorChange.objects.filter(pgh_obj=conveyor, profile__len=2).exists()
    page = keeper.get(where(conveyor, "conveyor-history")).text
    assert "heights along the carrying run" in page.lower()
    assert "9.5" in page


def test_only_who_keeps_the_register_enters_heights(client, conveyor):
    client.force_login(make_person(Role.TECHNICIAN, plants=[conveyor.plant]))

    assert post(client, conveyor, "0 2\n50 9").status_code == 403
    assert client.get(where(conveyor, "conveyor-drawing")).status_code == 200
    conveyor.refresh_from_db()
    assert conveyor.profile == []
