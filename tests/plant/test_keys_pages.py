"""The keys page: only for administrators, only of their plants, secrets shown once."""

from datetime import UTC, datetime
from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from plant.models import ApiKey, Plant
from plant.roles import Role
from plant.services import keys
from tests.plant import factories
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 11, 2, 14, 30, tzinfo=UTC)
ORDERS = "/api/v1/work-orders"


@pytest.fixture
def plant() -> Plant:
    return factories.make_plant(code="LT", name="Larkwater Terminal")


@pytest.fixture
def administrator(plant: Plant) -> Client:
    return signed_in(factories.make_person(Role.ADMINISTRATOR, plants=[plant]))


def make_key(plant: Plant, *scopes: str, **given: object) -> tuple[ApiKey, str]:
    made = {"expires_at": None, "by": None, "now": NOW, **given}
    return keys.make_key(
        name="stores system", plant=plant, scopes=scopes or list(ApiKey.Scope), **made
    )


def ask(secret: str, address: str = ORDERS, word: str = "Api-Key"):
    return Client().get(address, headers={"Authorization": f"{word} {secret}"})


PAGES = ["keys", "key-new"]


@pytest.mark.parametrize("name", PAGES)
def test_a_stranger_is_sent_to_sign_in(name: str) -> None:
    assert Client().get(reverse(name)).status_code == HTTPStatus.FOUND


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("role", [role for role in Role if role is not Role.ADMINISTRATOR])
def test_only_administrators_see_keys(plant: Plant, name: str, role: Role) -> None:
    client = signed_in(factories.make_person(role, plants=[plant]))

    assert client.get(reverse(name)).status_code == HTTPStatus.FORBIDDEN


def test_an_empty_list_says_what_to_do_first(administrator: Client) -> None:
    assert "No system has a key yet" in administrator.get(reverse("keys")).content.decode()


def test_a_key_is_made_shown_once_and_works(administrator: Client, plant: Plant) -> None:
    posted = {"name": "stores system", "plant": plant.pk, "scopes": ["work_orders:read"]}

    made = administrator.post(reverse("key-new"), posted)

    secret = made.context["secret"]
    assert made.status_code == HTTPStatus.CREATED
    assert "no-store" in made["Cache-Control"]
    assert ask(secret).status_code == HTTPStatus.OK
    page = administrator.get(reverse("keys")).content.decode()
    assert "stores system" in page
    assert secret.split(".")[0] in page
    assert secret.split(".")[1] not in page


def test_the_last_day_ends_in_the_plants_zone(administrator: Client, plant: Plant) -> None:
    Plant.objects.filter(pk=plant.pk).update(time_zone="America/Halifax")
    posted = {
        "name": "stores system",
        "plant": plant.pk,
        "scopes": ["work_orders:read"],
        "last_day": "2031-07-01",
    }

    administrator.post(reverse("key-new"), posted)

    assert ApiKey.objects.get().expiry_date == datetime(2031, 7, 2, 3, tzinfo=UTC)


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "x" * 51}, "name"),
        ({"scopes": []}, "scopes"),
        ({"scopes": ["everything"]}, "scopes"),
        ({"last_day": "2001-01-01"}, "last_day"),
        ({"last_day": "soon"}, "last_day"),
        ({"plant": "999999"}, "plant"),
    ],
)
def test_a_key_that_is_wrong_is_refused_at_its_field_and_kept(
    administrator: Client, plant: Plant, given: dict[str, object], field: str
) -> None:
    posted = {"name": "stores system", "plant": plant.pk, "scopes": ["work_orders:read"], **given}

    response = administrator.post(reverse("key-new"), posted)

    assert response.status_code in {HTTPStatus.BAD_REQUEST, HTTPStatus.CONFLICT}
    assert field in response.context["form"].errors
    assert field == "name" or "stores system" in response.content.decode()
    assert not ApiKey.objects.exists()


def test_no_key_is_made_for_a_plant_of_others(administrator: Client) -> None:
    theirs = factories.make_plant()
    posted = {"name": "stores system", "plant": theirs.pk, "scopes": ["work_orders:read"]}

    assert administrator.post(reverse("key-new"), posted).status_code == HTTPStatus.BAD_REQUEST


def test_revoking_asks_first_and_then_works_at_once(administrator: Client, plant: Plant) -> None:
    key, secret = make_key(plant)
    address = reverse("key-revoke", args=[key.prefix])

    assert "Revoke the key of stores system?" in administrator.get(address).content.decode()
    assert ask(secret).status_code == HTTPStatus.OK
    administrator.post(address)

    assert ask(secret).status_code == HTTPStatus.UNAUTHORIZED
    assert administrator.post(address).status_code == HTTPStatus.CONFLICT


def test_keys_of_another_plant_are_neither_seen_nor_revoked(administrator: Client) -> None:
    key, secret = make_key(factories.make_plant())

    assert key.prefix not in administrator.get(reverse("keys")).content.decode()
    response = administrator.post(reverse("key-revoke", args=[key.prefix]))
    assert response.status_code == HTTPStatus.NOT_FOUND
    assert ask(secret).status_code == HTTPStatus.OK


def test_the_list_of_keys_takes_the_same_few_queries_however_long_it_is(
    administrator: Client, plant: Plant, django_assert_max_num_queries
) -> None:
    for _turn in range(30):
        make_key(plant)

    with django_assert_max_num_queries(12):
        page = administrator.get(reverse("keys")).context["page"]

    assert len(page.object_list) == 25


def test_the_page_names_all_that_a_key_may_be_given(administrator: Client):
    text = administrator.get(reverse("keys")).content.decode()

    assert "read meter readings" in text
    assert "read the register" in text
    assert "write work orders" in text
