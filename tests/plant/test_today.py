"""The Today page: a greeting, what the role does most, what waits, and what to do first."""

from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse

from plant import greetings, navigation
from plant.models import Component, Plant
from plant.navigation import Action, Panel
from plant.roles import ROLE_WORDS, Role
from tests.plant.factories import (
    make_complete_conveyor,
    make_conveyor,
    make_person,
    make_plant,
    signed_in,
)

pytestmark = pytest.mark.django_db
KEEPERS = {Role.PLANNER, Role.LEAD, Role.ADMINISTRATOR}


def today(client: Client) -> str:
    response = client.get(reverse("today"))
    assert response.status_code == 200
    return response.content.decode()


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.mark.parametrize("role", Role)
def test_each_role_is_greeted_by_name_with_its_question(role: Role, plant: Plant):
    person = make_person(role, plants=[plant], display_name="Odile Brannock")

    text = today(signed_in(person))

    assert "Odile Brannock</h1>" in text
    assert str(greetings.what_a_role_asks([role])) in text
    assert str(ROLE_WORDS[role]) in text


def test_a_stranger_is_sent_to_sign_in():
    assert Client().get(reverse("today"))["Location"] == f"{reverse('sign-in')}?next=/"


def test_today_is_only_read(plant: Plant):
    client = signed_in(make_person(Role.CLERK, plants=[plant]))

    assert client.post(reverse("today")).status_code == 405


@pytest.mark.parametrize(
    ("zone", "words"),
    [
        ("America/Halifax", "Good morning"),
        ("Europe/Lisbon", "Good afternoon"),
        ("Asia/Tokyo", "Good evening"),
    ],
)
def test_the_greeting_goes_by_the_clock_of_the_plant(zone: str, words: str):
    now = datetime(2026, 11, 2, 13, 30, tzinfo=UTC)

    assert greetings.greeting(now, [Plant(time_zone=zone)]) == words


def test_without_a_plant_the_page_says_whom_to_ask():
    assert "You are not assigned to a plant yet" in today(signed_in(make_person(Role.CLERK)))


def test_without_a_role_the_page_says_whom_to_ask(plant: Plant):
    assert "You have no role yet" in today(signed_in(make_person(plants=[plant])))


def test_an_empty_server_says_what_comes_first():
    superuser = make_person(is_superuser=True)

    text = today(signed_in(superuser))

    assert "There is no plant yet" in text
    assert reverse("plants") in text


def test_when_nothing_waits_the_page_says_so(plant: Plant, monkeypatch):
    monkeypatch.setattr(navigation, "_panels", {})

    text = today(signed_in(make_person(Role.CLERK, plants=[plant])))

    assert "Nothing waits for you" in text


def test_what_a_role_does_most_is_the_large_button(plant: Plant, monkeypatch):
    planners = frozenset({Role.PLANNER})
    actions = [
        Action(20, planners, "Second", "search"),
        Action(10, planners, "First", "search", "q=belt"),
        Action(5, frozenset({Role.CLERK}), "Another's", "search", "q=x"),
    ]
    monkeypatch.setattr(navigation, "_actions", {(one.url_name, one.query): one for one in actions})

    text = today(signed_in(make_person(Role.PLANNER, plants=[plant])))

    assert 'class="button first" href="/search/?q=belt">First<' in text
    assert 'class="button quiet" href="/search/">Second<' in text
    assert "Another" not in text


def test_administrators_first_look_after_people(plant: Plant):
    text = today(signed_in(make_person(Role.ADMINISTRATOR, plants=[plant])))

    assert f'class="button first" href="{reverse("people")}"' in text


def test_the_sheet_is_dated_by_the_day_of_the_plant(monkeypatch):
    at = datetime(2026, 11, 2, 22, 30, tzinfo=UTC)
    monkeypatch.setattr("django.utils.timezone.now", lambda: at)
    plant = make_plant(time_zone="Asia/Tokyo")

    text = today(signed_in(make_person(Role.CLERK, plants=[plant])))

    assert "<dd>2026-11-03</dd>" in text
    assert "Tuesday 3 November 2026" in text


def test_parts_of_other_rooms_come_in_their_order(plant: Plant, monkeypatch):
    panel = "plant/parts/today.html"
    asked: list[str] = []

    def context_of(name: str):
        def context(request: object, row: object) -> None:
            asked.append(name)

        return context

    panels = {"a": Panel(50, panel, context_of("late")), "b": Panel(10, panel, context_of("early"))}
    monkeypatch.setattr(navigation, "_panels", {"today": panels})

    today(signed_in(make_person(Role.CLERK, plants=[plant])))

    assert asked == ["early", "late"]


@pytest.mark.parametrize("role", Role)
def test_questions_of_the_register_come_to_those_who_keep_it(role: Role, plant: Plant):
    conveyor = make_conveyor(plant)

    text = today(signed_in(make_person(role, plants=[plant])))

    assert ("The register asks" in text) == (role in KEEPERS)
    assert (reverse("conveyor", args=[plant.code, conveyor.tag]) in text) == (role in KEEPERS)


def test_a_complete_conveyor_asks_nothing(plant: Plant):
    make_complete_conveyor(plant)

    assert "The register asks" not in today(signed_in(make_person(Role.LEAD, plants=[plant])))


def test_a_belt_shorter_than_its_path_is_asked_about(plant: Plant):
    conveyor = make_complete_conveyor(plant)
    conveyor.belts.update(length_m=180)

    text = today(signed_in(make_person(Role.LEAD, plants=[plant])))

    assert "shorter than its path" in text


def test_questions_of_another_plant_are_not_shown(plant: Plant):
    elsewhere = make_conveyor(make_plant())

    text = today(signed_in(make_person(Role.LEAD, plants=[plant])))

    assert elsewhere.tag not in text


def test_many_questions_are_counted_not_listed(plant: Plant):
    for _ in range(11):
        make_conveyor(plant)

    text = today(signed_in(make_person(Role.LEAD, plants=[plant])))

    assert "and 3 more" in text


def test_the_page_costs_the_same_however_many_conveyors(
    plant: Plant, django_assert_max_num_queries
):
    client = signed_in(make_person(Role.LEAD, plants=[plant]))
    for _ in range(6):
        Component.objects.filter(
            conveyor=make_complete_conveyor(plant), name="Tail pulley"
        ).delete()
    today(client)

    with django_assert_max_num_queries(40) as few:
        today(client)
    for _ in range(6):
        make_conveyor(plant)
    with django_assert_max_num_queries(len(few)):
        today(client)
