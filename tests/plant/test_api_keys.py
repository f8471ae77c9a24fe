"""Keys: the service, the page, and the door of the API."""

from datetime import UTC, datetime, timedelta
from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import ApiKey, Plant
from plant.roles import Role
from plant.services import keys
from tests.plant import factories
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 11, 2, 14, 30, tzinfo=UTC)
ORDERS = "/api/v1/work-orders"
COMPLAINTS = "/api/v1/complaints"


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


# -- the service


def test_the_secret_is_not_kept(plant: Plant) -> None:
    key, secret = make_key(plant)

    stored = " ".join(str(value) for value in ApiKey.objects.values_list().get())
    assert secret.split(".")[1] not in stored
    assert key.prefix == secret.split(".")[0]


def test_a_key_needs_a_scope_and_an_end_that_is_to_come(plant: Plant) -> None:
    with pytest.raises(keys.KeyNeedsScope):
        keys.make_key(name="x", plant=plant, scopes=[], expires_at=None, by=None, now=NOW)
    with pytest.raises(keys.KeyExpiresInThePast):
        make_key(plant, expires_at=NOW)

    assert not ApiKey.objects.exists()


def test_a_key_is_revoked_once(plant: Plant) -> None:
    key, _secret = make_key(plant)

    keys.revoke_key(prefix=key.prefix, by=factories.make_person(Role.ADMINISTRATOR))
    with pytest.raises(keys.KeyIsRevoked):
        keys.revoke_key(prefix=key.prefix, by=factories.make_person(Role.ADMINISTRATOR))


def test_the_last_use_is_noted_at_most_once_a_minute(plant: Plant) -> None:
    key, _secret = make_key(plant)
    noted = []
    for seconds in (0, 30, 59, 60, 90, 121):
        key.refresh_from_db()
        keys.note_use(key=key, now=NOW + timedelta(seconds=seconds))
        key.refresh_from_db()
        noted.append((key.last_used_at - NOW).total_seconds())

    assert noted == [0, 0, 0, 60, 60, 121]


# -- the door


def test_a_good_key_opens(plant: Plant) -> None:
    key, secret = make_key(plant)

    response = ask(secret)

    assert response.status_code == HTTPStatus.OK
    key.refresh_from_db()
    assert key.last_used_at is not None


def test_the_keyword_is_read_in_any_case(plant: Plant) -> None:
    _key, secret = make_key(plant)

    assert ask(secret, word="api-key").status_code == HTTPStatus.OK


def problem_of(response) -> dict:
    assert response["Content-Type"] == "application/problem+json"
    body = response.json()
    assert body["status"] == response.status_code
    assert set(body) >= {"type", "title", "detail", "instance", "code"}
    return body


@pytest.mark.parametrize("address", [ORDERS, COMPLAINTS, f"{ORDERS}/LT-W-0001"])
def test_without_a_key_the_answer_is_401_and_says_which_scheme(address: str) -> None:
    response = Client().get(address)

    assert response.status_code == HTTPStatus.UNAUTHORIZED
    assert response["WWW-Authenticate"].startswith("Api-Key")
    assert problem_of(response)["code"] == "not_authenticated"


@pytest.mark.parametrize(
    "header",
    ["", "Api-Key", "Api-Key ", "Bearer abc", "Api-Key abc", "Api-Key abc.def", "Api-Key a\x00.b"],
)
def test_a_key_nobody_made_is_401(plant: Plant, header: str) -> None:
    make_key(plant)

    response = Client().get(ORDERS, headers={"Authorization": header})

    assert response.status_code == HTTPStatus.UNAUTHORIZED


def test_a_known_prefix_with_a_wrong_secret_is_401(plant: Plant) -> None:
    key, _secret = make_key(plant)

    response = ask(f"{key.prefix}.{'x' * 32}")

    assert response.status_code == HTTPStatus.UNAUTHORIZED
    assert problem_of(response)["code"] == "key_unknown"


def test_a_session_of_a_person_does_not_open_the_api(administrator: Client) -> None:
    assert administrator.get(ORDERS).status_code == HTTPStatus.UNAUTHORIZED


def test_an_expired_key_is_401(plant: Plant) -> None:
    _key, secret = make_key(plant, expires_at=NOW + timedelta(seconds=1))
    ApiKey.objects.update(expiry_date=timezone.now() - timedelta(seconds=1))

    response = ask(secret)

    assert response.status_code == HTTPStatus.UNAUTHORIZED
    assert problem_of(response)["code"] == "key_expired"


def test_a_revoked_key_is_401_from_the_next_request_on(plant: Plant) -> None:
    key, secret = make_key(plant)
    assert ask(secret).status_code == HTTPStatus.OK

    keys.revoke_key(prefix=key.prefix, by=factories.make_person(Role.ADMINISTRATOR))

    response = ask(secret)
    assert response.status_code == HTTPStatus.UNAUTHORIZED
    assert problem_of(response)["code"] == "key_revoked"


@pytest.mark.parametrize(
    ("scope", "method", "address", "opens"),
    [
        ("work_orders:read", "get", ORDERS, True),
        ("work_orders:write", "get", ORDERS, False),
        ("complaints:read", "get", ORDERS, False),
        ("complaints:read", "get", COMPLAINTS, True),
        ("complaints:write", "get", COMPLAINTS, False),
        ("complaints:read", "post", COMPLAINTS, False),
        ("work_orders:read", "get", COMPLAINTS, False),
    ],
)
def test_a_key_does_what_its_scopes_say_and_no_more(
    plant: Plant, scope: str, method: str, address: str, opens: bool
) -> None:
    _key, secret = make_key(plant, scope)

    response = getattr(Client(), method)(address, headers={"Authorization": f"Api-Key {secret}"})

    assert response.status_code == (HTTPStatus.OK if opens else HTTPStatus.FORBIDDEN)
    if not opens:
        assert problem_of(response)["code"] == "scope_missing"


# -- the shape of errors


def test_an_unknown_address_is_a_problem_document() -> None:
    for address in ("/api/v1/", "/api/v1/conveyors", "/api/v1/work-orders/", f"{ORDERS}/x/y"):
        response = Client().get(address)
        assert response.status_code == HTTPStatus.NOT_FOUND
        assert problem_of(response)["instance"] == address


@pytest.mark.parametrize("method", ["post", "put", "patch", "delete"])
def test_a_method_that_is_not_there_is_405(plant: Plant, method: str) -> None:
    _key, secret = make_key(plant)

    response = getattr(Client(), method)(ORDERS, headers={"Authorization": f"Api-Key {secret}"})

    assert response.status_code == HTTPStatus.METHOD_NOT_ALLOWED
    assert "GET" in response["Allow"]
    assert problem_of(response)["code"] == "method_not_allowed"


def test_a_fault_inside_is_told_to_the_log_and_not_to_the_caller(
    plant: Plant, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    _key, secret = make_key(plant)

    def fail(*_args: object, **_kwargs: object) -> None:
        raise RuntimeError("password of the database is hunter2")

    monkeypatch.setattr("plant.api.paging.NewestFirst.paginate_queryset", fail)

    client = Client(raise_request_exception=False)
    response = client.get(ORDERS, headers={"Authorization": f"Api-Key {secret}"})

    assert response.status_code == HTTPStatus.INTERNAL_SERVER_ERROR
    assert problem_of(response)["code"] == "server_error"
    assert "hunter2" not in response.content.decode()
    assert "hunter2" in caplog.text


# -- the page


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
