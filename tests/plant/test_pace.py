"""How much a key may ask: counted exactly, told on every answer, refused in the usual shape."""

import threading
from http import HTTPStatus
from typing import Any

import pytest
from django.db import connection
from django.test import Client

from plant.models import ApiKey, Plant, RequestPace
from plant.services import pacing
from tests.plant import factories
from tests.workorders.factories import make_key

ORDERS = "/api/v1/work-orders"


@pytest.fixture
def plant() -> Plant:
    return factories.make_plant(code="LT", name="Larkwater Terminal")


@pytest.fixture(autouse=True)
def limit(settings: Any) -> None:
    settings.API_REQUESTS_PER_MINUTE = 3


def ask(secret: str, address: str = ORDERS, **more: Any):
    return Client(**more).get(address, headers={"Authorization": f"Api-Key {secret}"})


def a_minute_passes() -> None:
    seconds_pass(60)


def seconds_pass(seconds: int) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE plant_requestpace SET began_at = began_at - %s * interval '1 s'", [seconds]
        )


@pytest.mark.django_db
def test_every_answer_says_the_limit_and_what_is_left(plant: Plant):
    _key, secret = make_key(plant)

    answers = [ask(secret) for _turn in range(3)]

    assert {one["RateLimit-Policy"] for one in answers} == {'"requests";q=3;w=60'}
    left = [one["RateLimit"].rsplit(";", 1)[0] for one in answers]
    assert left == ['"requests";r=2', '"requests";r=1', '"requests";r=0']


@pytest.mark.django_db
def test_one_too_many_is_told_when_to_come_back_and_may_then(plant: Plant):
    _key, secret = make_key(plant)
    for _turn in range(3):
        assert ask(secret).status_code == HTTPStatus.OK

    refused = ask(secret)

    assert refused.status_code == HTTPStatus.TOO_MANY_REQUESTS
    assert refused["Content-Type"] == "application/problem+json"
    assert refused.json()["code"] == "too_many_requests"
    assert 1 <= int(refused["Retry-After"]) <= 60
    assert refused["RateLimit"] == f'"requests";r=0;t={refused["Retry-After"]}'
    a_minute_passes()
    assert ask(secret).status_code == HTTPStatus.OK


@pytest.mark.django_db
def test_around_the_edge_of_a_minute_nobody_sends_more_than_in_one(plant: Plant):
    key, _secret = make_key(plant)
    pacing.count_request(key)
    seconds_pass(40)
    late = [pacing.count_request(key) for _turn in range(2)]
    assert [one and one.remaining for one in late] == [1, 0]
    seconds_pass(20)

    # The first one has left the minute, the two late ones have not.
    now = [pacing.count_request(key) for _turn in range(2)]

    assert [one and one.is_over for one in now] == [False, True]
    assert now[1] is not None
    # And when they have, of those that were let through one is left.
    assert 30 <= now[1].left_s <= 40
    seconds_pass(40)
    assert [one and one.remaining for one in [pacing.count_request(key)]] == [1]


@pytest.mark.django_db
def test_whoever_keeps_to_the_limit_is_never_refused(plant: Plant):
    key, _secret = make_key(plant)

    paces = []
    for _turn in range(12):
        paces.append(pacing.count_request(key))
        # Three in each minute, however the slices fall.
        seconds_pass(20)

    assert [one and one.is_over for one in paces] == [False] * 12


@pytest.mark.django_db
def test_a_lower_limit_tells_when_enough_has_left_the_minute(plant: Plant):
    key, _secret = make_key(plant)
    pacing.count_request(key)
    seconds_pass(30)
    pacing.count_request(key)
    ApiKey.objects.filter(pk=key.pk).update(requests_per_minute=1)
    key.refresh_from_db()

    refused = pacing.count_request(key)

    assert refused is not None
    assert refused.is_over
    assert 55 <= refused.left_s <= 60


@pytest.mark.django_db
def test_a_flood_is_over_with_its_minute(plant: Plant):
    _key, secret = make_key(plant)
    for _turn in range(10):
        ask(secret)
    a_minute_passes()

    assert ask(secret)["RateLimit"].startswith('"requests";r=2')


@pytest.mark.django_db
def test_refusals_count_too(plant: Plant):
    _key, secret = make_key(plant, "complaints:read")

    answers = [ask(secret).status_code for _turn in range(4)]

    assert answers == [403, 403, 403, 429]


@pytest.mark.django_db
def test_a_key_of_its_own_limit_goes_by_that_at_once(plant: Plant):
    key, secret = make_key(plant)
    other = make_key(plant)[1]
    ApiKey.objects.filter(pk=key.pk).update(requests_per_minute=1)

    assert [ask(secret).status_code for _turn in range(2)] == [200, 429]
    assert ask(other).status_code == HTTPStatus.OK
    ApiKey.objects.filter(pk=key.pk).update(requests_per_minute=5)
    assert ask(secret).status_code == HTTPStatus.OK


@pytest.mark.django_db
def test_a_site_may_have_no_limit(plant: Plant, settings: Any):
    settings.API_REQUESTS_PER_MINUTE = 0
    _key, secret = make_key(plant)

    answer = ask(secret)

    assert "RateLimit" not in answer
    assert not RequestPace.objects.exists()


@pytest.mark.django_db
def test_many_unknown_keys_from_one_address_are_held_up_and_good_ones_are_not(
    plant: Plant, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(pacing, "MOST_FAILURES", 2)
    _key, secret = make_key(plant)

    guesses = [ask(f"guess{turn}.x", REMOTE_ADDR="192.0.2.7") for turn in range(3)]

    assert [one.status_code for one in guesses] == [401, 401, 429]
    assert guesses[2].json()["code"] == "too_many_requests"
    assert "Retry-After" in guesses[2]
    assert ask(secret, REMOTE_ADDR="192.0.2.7").status_code == HTTPStatus.OK
    assert ask("guess.x", REMOTE_ADDR="192.0.2.8").status_code == HTTPStatus.UNAUTHORIZED


@pytest.mark.django_db
def test_one_house_of_the_sixth_internet_protocol_is_one_address(
    monkeypatch: pytest.MonkeyPatch,
):
    monkeypatch.setattr(pacing, "MOST_FAILURES", 1)

    here = [pacing.count_failure(one) for one in ("2001:db8:1:2::7", "2001:db8:1:2:ffff::9")]
    elsewhere = pacing.count_failure("2001:db8:1:3::7")

    assert [one.is_over for one in (*here, elsewhere)] == [False, True, False]
    assert not pacing.count_failure("no address").is_over


@pytest.mark.django_db
def test_rows_of_whoever_asks_no_more_are_forgotten():
    pacing.count_failure("192.0.2.7")
    with connection.cursor() as cursor:
        cursor.execute("UPDATE plant_requestpace SET began_at = began_at - interval '2 hours'")
    pacing.count_failure("192.0.2.8")

    assert pacing.forget_owed() == 1
    assert RequestPace.objects.get().asker == "address 192.0.2.8"


@pytest.mark.django_db(transaction=True)
def test_of_many_at_the_same_time_exactly_as_many_pass_as_may(plant: Plant, settings: Any):
    settings.API_REQUESTS_PER_MINUTE = 40
    key, _secret = make_key(plant)
    passed: list[bool] = []

    def count() -> None:
        try:
            for _turn in range(20):
                pace = pacing.count_request(key)
                assert pace is not None
                passed.append(not pace.is_over)
        finally:
            connection.close()

    threads = [threading.Thread(target=count) for _one in range(6)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()

    assert len(passed) == 120
    assert sum(passed) == 40


@pytest.mark.django_db
def test_what_is_counted_is_written_to_no_log_of_the_database():
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT relpersistence FROM pg_class WHERE oid = 'plant_requestpace'::regclass"
        )
        assert cursor.fetchone()[0] == "u"


@pytest.mark.django_db
def test_options_name_only_what_the_key_may_do(plant: Plant, settings: Any):
    settings.API_REQUESTS_PER_MINUTE = 0
    _key, secret = make_key(plant, "complaints:write")
    headers = {"Authorization": f"Api-Key {secret}"}

    complaints = Client().options("/api/v1/complaints", headers=headers)
    orders = Client().options(ORDERS, headers=headers)

    assert complaints.json() == {"methods": {"POST": "complaints:write"}}
    assert orders.json() == {"methods": {}}
    assert Client().options(ORDERS).status_code == HTTPStatus.UNAUTHORIZED
