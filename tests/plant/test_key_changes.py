"""Keys that live on: changed at once, their secret replaced with an overlap, all written down."""

from datetime import UTC, datetime, timedelta
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import ApiKey, KeyLogEntry, Plant, User
from plant.roles import Role
from plant.services import changing_keys, keys
from tests.plant import factories
from tests.plant.factories import signed_in
from tests.workorders.factories import make_key

pytestmark = pytest.mark.django_db
ORDERS = "/api/v1/work-orders"


@pytest.fixture
def plant() -> Plant:
    return factories.make_plant(code="LT", name="Larkwater Terminal")


@pytest.fixture
def person(plant: Plant) -> User:
    return factories.make_person(Role.ADMINISTRATOR, plants=[plant])


@pytest.fixture
def administrator(person: User) -> Client:
    return signed_in(person)


def ask(secret: str):
    return Client().get(ORDERS, headers={"Authorization": f"Api-Key {secret}"})


def posted(key: ApiKey, **given: Any) -> dict[str, Any]:
    key.refresh_from_db()
    return {"name": key.name, "scopes": key.scopes, "version": key.version, **given}


def page_of(client: Client, key: ApiKey) -> str:
    return client.get(reverse("key", args=[key.prefix])).content.decode()


def test_a_key_made_narrower_is_refused_from_its_next_request(
    administrator: Client, plant: Plant, person: User
):
    key, secret = make_key(plant, "work_orders:read", "complaints:read")
    assert ask(secret).status_code == HTTPStatus.OK

    administrator.post(
        reverse("key", args=[key.prefix]), posted(key, scopes=["complaints:read"], name="gate")
    )

    assert ask(secret).status_code == HTTPStatus.FORBIDDEN
    page = page_of(administrator, key)
    assert "may: read complaints, read work orders, now read complaints" in page
    assert "name: stores system, now gate" in page
    assert str(person) in page


def test_a_limit_is_given_and_taken_back(administrator: Client, plant: Plant):
    key, _secret = make_key(plant)
    address = reverse("key", args=[key.prefix])

    administrator.post(address, posted(key, requests_per_minute="90"))
    assert ApiKey.objects.get().requests_per_minute == 90
    administrator.post(address, posted(key, requests_per_minute=""))

    assert ApiKey.objects.get().requests_per_minute is None
    assert "requests a minute: 90, now as the site has it" in page_of(administrator, key)


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": ""}, "name"),
        ({"scopes": []}, "scopes"),
        ({"scopes": ["everything"]}, "scopes"),
        ({"last_day": "2001-01-01"}, "last_day"),
        ({"requests_per_minute": "0"}, "requests_per_minute"),
        ({"requests_per_minute": "60001"}, "requests_per_minute"),
        ({"requests_per_minute": "many"}, "requests_per_minute"),
    ],
)
def test_a_wrong_change_is_refused_at_its_field(
    administrator: Client, plant: Plant, given: dict[str, Any], field: str
):
    key, _secret = make_key(plant)

    answer = administrator.post(reverse("key", args=[key.prefix]), posted(key, **given))

    assert answer.status_code in {HTTPStatus.BAD_REQUEST, HTTPStatus.CONFLICT}
    assert field in answer.context["form"].errors
    key.refresh_from_db()
    assert (key.version, key.name) == (1, "stores system")


def test_of_two_administrators_the_second_sees_what_the_first_did(
    administrator: Client, plant: Plant
):
    key, _secret = make_key(plant)
    opened = posted(key, name="mine")
    administrator.post(reverse("key", args=[key.prefix]), posted(key, name="theirs"))

    answer = administrator.post(reverse("key", args=[key.prefix]), opened)

    assert answer.status_code == HTTPStatus.CONFLICT
    text = answer.content.decode()
    assert "Somebody changed this while you had it open" in text
    assert 'value="mine"' in text
    assert ApiKey.objects.get().name == "theirs"


def test_an_end_within_a_day_stays_when_nobody_touches_it(administrator: Client, plant: Plant):
    end = timezone.now() + timedelta(days=30, hours=1)
    key, _secret = make_key(plant, expires_at=end)
    shown = administrator.get(reverse("key", args=[key.prefix])).context["form"].initial

    given = {"last_day": shown["last_day"].isoformat(), "name": "other"}
    administrator.post(reverse("key", args=[key.prefix]), posted(key, **given))

    assert ApiKey.objects.get().expiry_date == end


def test_an_expired_key_opens_again_with_a_later_day(administrator: Client, plant: Plant):
    key, secret = make_key(plant)
    ApiKey.objects.update(expiry_date=timezone.now() - timedelta(days=1))
    assert ask(secret).status_code == HTTPStatus.UNAUTHORIZED

    administrator.post(reverse("key", args=[key.prefix]), posted(key, last_day="2031-07-01"))

    assert ask(secret).status_code == HTTPStatus.OK


def test_both_secrets_work_until_the_day_and_then_the_new_one_alone(
    administrator: Client, plant: Plant
):
    key, old = make_key(plant)

    made = administrator.post(
        reverse("key-replace", args=[key.prefix]), {"former_last_day": "2031-07-01"}
    )

    new = made.context["secret"]
    assert made.status_code == HTTPStatus.CREATED
    assert "no-store" in made["Cache-Control"]
    assert new.partition(".")[0] == key.prefix
    assert new != old
    assert [ask(one).status_code for one in (old, new)] == [200, 200]
    ApiKey.objects.update(former_until=timezone.now() - timedelta(seconds=1))
    refused = ask(old)
    assert refused.status_code == HTTPStatus.UNAUTHORIZED
    assert refused.json()["code"] == "key_replaced"
    assert ask(new).status_code == HTTPStatus.OK


def test_no_secret_new_or_old_is_kept(person: User, plant: Plant):
    key, old = make_key(plant)
    now = timezone.now()

    _key, new = changing_keys.replace_secret(
        prefix=key.prefix, former_until=now + timedelta(days=1), by=person, now=now
    )

    kept = " ".join(str(value) for value in ApiKey.objects.values_list().get())
    kept += " ".join(str(value) for row in KeyLogEntry.objects.values_list() for value in row)
    assert old.split(".")[1] not in kept
    assert new.split(".")[1] not in kept


def test_the_page_says_whether_the_old_secret_is_still_used(administrator: Client, plant: Plant):
    key, old = make_key(plant)
    address = reverse("key-replace", args=[key.prefix])
    administrator.post(address, {"former_last_day": "2031-07-01"})
    assert "not used since it was replaced" in page_of(administrator, key)

    ask(old)

    key.refresh_from_db()
    assert key.former_used_at is not None
    assert "not used since it was replaced" not in page_of(administrator, key)


def test_an_old_secret_that_somebody_saw_stops_at_once(administrator: Client, plant: Plant):
    key, old = make_key(plant)

    administrator.post(reverse("key-replace", args=[key.prefix]), {"at_once": "on"})

    assert ask(old).json()["code"] == "key_replaced"
    assert "the old one stopped at once" in page_of(administrator, key)


def test_the_old_secret_is_ended_before_its_day(administrator: Client, plant: Plant):
    key, old = make_key(plant)
    administrator.post(reverse("key-replace", args=[key.prefix]), {"former_last_day": "2031-07-01"})
    address = reverse("key-end-former", args=[key.prefix])

    assert "End the old secret of stores system?" in administrator.get(address).content.decode()
    assert ask(old).status_code == HTTPStatus.OK
    administrator.post(address)

    assert ask(old).status_code == HTTPStatus.UNAUTHORIZED
    assert administrator.post(address).status_code == HTTPStatus.CONFLICT


def test_a_third_secret_is_refused_while_two_work(administrator: Client, plant: Plant):
    key, old = make_key(plant)
    address = reverse("key-replace", args=[key.prefix])
    administrator.post(address, {"former_last_day": "2031-07-01"})

    answer = administrator.post(address, {"at_once": "on"})

    assert answer.status_code == HTTPStatus.CONFLICT
    assert ask(old).status_code == HTTPStatus.OK


@pytest.mark.parametrize(
    "given", [{}, {"former_last_day": "2001-01-01"}, {"former_last_day": "soon"}]
)
def test_a_day_for_the_old_secret_that_cannot_be_is_refused(
    administrator: Client, plant: Plant, given: dict[str, str]
):
    key, old = make_key(plant)

    answer = administrator.post(reverse("key-replace", args=[key.prefix]), given)

    assert answer.status_code in {HTTPStatus.BAD_REQUEST, HTTPStatus.CONFLICT}
    assert "former_last_day" in answer.context["form"].errors
    assert ask(old).status_code == HTTPStatus.OK


def test_a_revoked_key_is_neither_changed_nor_given_a_secret(
    administrator: Client, plant: Plant, person: User
):
    key, _secret = make_key(plant)
    keys.revoke_key(prefix=key.prefix, by=person)

    changed = administrator.post(reverse("key", args=[key.prefix]), posted(key, name="x"))
    replaced = administrator.post(reverse("key-replace", args=[key.prefix]), {"at_once": "on"})

    assert {changed.status_code, replaced.status_code} == {HTTPStatus.CONFLICT}
    assert [one.what for one in KeyLogEntry.objects.filter(key=key)] == ["revoked", "made"]


def test_the_log_keeps_the_name_of_who_left(administrator: Client, plant: Plant):
    leaver = factories.make_person(Role.ADMINISTRATOR, plants=[plant])
    name = str(leaver)
    key, _secret = keys.make_key(
        name="stores system",
        plant=plant,
        scopes=["work_orders:read"],
        expires_at=None,
        by=leaver,
        now=datetime(2026, 11, 2, 14, 30, tzinfo=UTC),
    )
    leaver.delete()

    assert name in page_of(administrator, key)


@pytest.mark.parametrize("name", ["key", "key-replace", "key-end-former"])
def test_keys_of_another_plant_are_not_there(administrator: Client, name: str):
    key, _secret = make_key(factories.make_plant())

    for method in (administrator.get, administrator.post):
        answer = method(reverse(name, args=[key.prefix]))
        assert answer.status_code == HTTPStatus.NOT_FOUND
