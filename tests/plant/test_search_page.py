"""The field at the top of every sheet and the page behind it."""

import pytest
from django.test import Client
from django.urls import reverse

from plant.models import Plant
from plant.roles import Role
from tests.plant.factories import make_conveyor, make_person, make_plant, signed_in

pytestmark = pytest.mark.django_db
SEARCH = reverse("search")


@pytest.fixture
def plant() -> Plant:
    plant = make_plant()
    make_conveyor(plant, tag="CV-12", name="Quay conveyor", nicknames=["the quay belt"])
    return plant


@pytest.fixture
def client(plant: Plant) -> Client:
    return signed_in(make_person(Role.CLERK, plants=[plant]))


def test_a_nickname_leads_to_the_conveyor(client: Client, plant: Plant):
    text = client.get(SEARCH, {"q": "qauy belt"}).content.decode()

    assert reverse("conveyor", args=[plant.code, "CV-12"]) in text
    assert 'value="qauy belt"' in text


@pytest.mark.parametrize("role", Role)
def test_every_role_may_search(role: Role, plant: Plant):
    assert signed_in(make_person(role, plants=[plant])).get(SEARCH).status_code == 200


def test_a_stranger_is_sent_to_sign_in():
    assert Client().get(SEARCH, {"q": "quay"}).status_code == 302


def test_somebody_without_a_role_may_not(plant: Plant):
    assert signed_in(make_person(plants=[plant])).get(SEARCH).status_code == 403


def test_conveyors_of_another_plant_are_not_found(client: Client):
    make_conveyor(make_plant(), tag="XX-99", name="Quay of somebody else")

    text = client.get(SEARCH, {"q": "quay"}).content.decode()

    assert "CV-12" in text
    assert "XX-99" not in text


def test_nothing_found_says_what_to_do(client: Client):
    assert "Try fewer letters" in client.get(SEARCH, {"q": "xylophone"}).content.decode()


def test_nothing_asked_says_what_to_type(client: Client):
    assert "Typing errors are forgiven" in client.get(SEARCH).content.decode()


def test_a_retired_conveyor_is_found_and_marked(client: Client, plant: Plant):
    make_conveyor(plant, tag="OLD-1", name="Old gallery", retired_on="2025-01-31")

    assert "retired" in client.get(SEARCH, {"q": "old-1"}).content.decode()


def test_the_plant_is_named_only_to_whoever_has_several(client: Client, plant: Plant):
    of_two = signed_in(make_person(Role.CLERK, plants=[plant, make_plant()]))
    heading = '<th scope="col">Plant</th>'

    assert heading not in client.get(SEARCH, {"q": "quay"}).content.decode()
    assert heading in of_two.get(SEARCH, {"q": "quay"}).content.decode()


def test_many_are_paged_and_keep_the_question(client: Client, plant: Plant):
    for number in range(25):
        make_conveyor(plant, tag=f"G-{number}", name="Grain gallery")

    first = client.get(SEARCH, {"q": "gallery"})
    second = client.get(SEARCH, {"q": "gallery", "page": "2"})

    assert (len(first.context["page"]), len(second.context["page"])) == (20, 5)
    assert "q=gallery&amp;page=2" in first.content.decode()


def test_while_typing_only_a_short_list_is_sent(client: Client, plant: Plant):
    for number in range(9):
        make_conveyor(plant, tag=f"CV-12{number}")

    response = client.get(SEARCH, {"q": "cv-12"}, headers={"HX-Target": "found-conveyors"})

    text = response.content.decode()
    assert "<html" not in text
    assert text.count("<li>") == 6
    assert text.index(">CV-12<") < text.index(">CV-120<")
    assert "HX-Target" in response["Vary"]


@pytest.mark.parametrize(
    ("words", "said"), [("xylophone", "No conveyor is called anything like that."), ("", "")]
)
def test_while_typing_nothing_found_is_said(client: Client, words: str, said: str):
    response = client.get(SEARCH, {"q": words}, headers={"HX-Target": "found-conveyors"})

    assert response.content.decode().strip() == (f"<p>{said}</p>" if said else "")


@pytest.mark.parametrize("words", ["<b>x</b>", "a\x00b", "x" * 3000, "%", "🚜"])
def test_words_are_shown_as_typed_and_break_nothing(client: Client, words: str):
    response = client.get(SEARCH, {"q": words})

    assert response.status_code == 200
    assert "<b>x" not in response.content.decode()


def test_the_page_costs_the_same_however_many_are_found(
    client: Client, plant: Plant, django_assert_num_queries
):
    client.get(SEARCH, {"q": "quay"})
    with django_assert_num_queries(10) as one:
        client.get(SEARCH, {"q": "quay"})
    for _ in range(10):
        make_conveyor(plant, name="Quay conveyor")

    with django_assert_num_queries(len(one)):
        client.get(SEARCH, {"q": "quay"})
