"""Keys: made, used, revoked; the door of the API and the shape of its errors."""

from datetime import UTC, datetime, timedelta
from http import HTTPStatus

import pytest
from django.test import Client
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


def test_an_unknown_address_is_a_problem_document() -> None:
    for address in ("/api/v1/", "/api/v1/conveyors/", "/api/v1/work-orders/", f"{ORDERS}/x/y"):
        response = Client().get(address)
        assert response.status_code == HTTPStatus.NOT_FOUND
        assert problem_of(response)["instance"] == address


@pytest.mark.parametrize("method", ["post", "put", "patch", "delete"])
def test_a_method_that_is_not_there_is_405(plant: Plant, method: str) -> None:
    _key, secret = make_key(plant)
    address = "/api/v1/conveyors"

    response = getattr(Client(), method)(address, headers={"Authorization": f"Api-Key {secret}"})

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
