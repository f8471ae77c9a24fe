"""Who sees which people, and the list of them."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from plant.models import Plant, User
from plant.roles import Role
from tests.plant.factories import PASSWORD, make_person, make_plant, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return make_plant(name="Larkwater Terminal")


@pytest.fixture
def other_plant() -> Plant:
    return make_plant(name="Fennel Quarry")


@pytest.fixture
def admin(plant: Plant) -> User:
    return make_person(Role.ADMINISTRATOR, plants=[plant])


@pytest.fixture
def clerk(plant: Plant) -> User:
    return make_person(Role.CLERK, plants=[plant], display_name="Odile Brannock")


@pytest.fixture
def of_both(plant: Plant, other_plant: Plant) -> User:
    return make_person(Role.LEAD, plants=[plant, other_plant])


_PAGES: list[tuple[str, Callable[[User], list[int]]]] = [
    ("people", lambda person: []),
    ("person-new", lambda person: []),
    ("person", lambda person: [person.pk]),
    ("person-password", lambda person: [person.pk]),
    ("person-out-of-use", lambda person: [person.pk]),
    ("person-back", lambda person: [person.pk]),
]


@pytest.mark.parametrize(("name", "args"), _PAGES)
@pytest.mark.parametrize("role", Role)
def test_only_administrators_see_people(
    role: Role, name: str, args: Callable[[User], list[int]], clerk: User, plant: Plant
):
    client = signed_in(make_person(role, plants=[plant]))

    response = client.get(reverse(name, args=args(clerk)))

    assert response.status_code == (200 if role is Role.ADMINISTRATOR else 403)


@pytest.mark.parametrize(("name", "args"), _PAGES)
def test_strangers_are_sent_to_sign_in(name: str, args: Callable[[User], list[int]], clerk: User):
    assert Client().get(reverse(name, args=args(clerk))).status_code == 302


@pytest.mark.parametrize(("name", "args"), _PAGES[2:])
@pytest.mark.parametrize("method", ["get", "post"])
def test_people_of_another_plant_are_not_there(
    method: str, name: str, args: Callable[[User], list[int]], clerk: User, other_plant: Plant
):
    client = signed_in(make_person(Role.ADMINISTRATOR, plants=[other_plant]))

    response = getattr(client, method)(reverse(name, args=args(clerk)))

    assert response.status_code == 404


def test_the_list_shows_the_people_of_ones_plants_only(
    admin: User, clerk: User, other_plant: Plant, of_both: User
):
    elsewhere = make_person(Role.CLERK, plants=[other_plant])

    text = signed_in(admin).get(reverse("people")).content.decode()

    assert clerk.username in text
    assert of_both.username in text
    assert elsewhere.username not in text
    assert other_plant.code not in text


def test_the_list_shows_of_each_person_the_plants_one_shares(
    admin: User, clerk: User, plant: Plant, of_both: User
):
    rows = signed_in(admin).get(reverse("people")).context["page"]

    assert {row.pk: row.plants_seen for row in rows} == {
        one.pk: [plant] for one in (admin, clerk, of_both)
    }


def test_the_list_shows_somebody_without_plants_to_the_superuser():
    superuser = make_person(is_superuser=True)
    signed_in(superuser).post(reverse("sign-out"))
    client = Client()
    client.post(reverse("sign-in"), {"username": superuser.username, "password": PASSWORD})

    text = client.get(reverse("people")).content.decode()

    assert "no plant yet" in text


def test_the_list_is_searched_by_name_without_accents(admin: User, plant: Plant, clerk: User):
    found = make_person(Role.CLERK, plants=[plant], display_name="Zoë Åkerlund")

    text = signed_in(admin).get(reverse("people"), {"words": "akerlund zoe"}).content.decode()

    assert found.username in text
    assert clerk.username not in text


def test_the_list_is_narrowed_to_a_role(admin: User, clerk: User):
    text = signed_in(admin).get(reverse("people"), {"role": "administrator"}).content.decode()

    assert admin.username in text
    assert clerk.username not in text


@pytest.mark.parametrize(
    "asked", [{"role": "emperor"}, {"words": "x" * 999}, {"words": "a\x00"}, {"page": "x"}]
)
def test_a_question_that_cannot_be_asked_breaks_nothing(admin: User, asked: dict[str, str]):
    assert signed_in(admin).get(reverse("people"), asked).status_code == 200


def test_the_list_is_paged(admin: User, plant: Plant):
    for _ in range(30):
        make_person(Role.CLERK, plants=[plant])
    client = signed_in(admin)

    first = client.get(reverse("people")).context["page"]
    second = client.get(reverse("people"), {"page": "2"}).context["page"]

    assert (len(first), len(second)) == (25, 6)
    assert not {one.pk for one in first} & {one.pk for one in second}


def test_the_list_costs_the_same_however_long(
    admin: User, plant: Plant, django_assert_max_num_queries
):
    for _ in range(12):
        make_person(Role.CLERK, Role.LEAD, plants=[plant])
    client = signed_in(admin)
    client.get(reverse("people"))

    with django_assert_max_num_queries(10):
        client.get(reverse("people"))
