"""wait=: the first change ends it, few may wait, nobody waits in a transaction."""

import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from http import HTTPStatus
from typing import Any

import pytest
from django.db import connection
from django.test import Client

from plant.models import Plant
from tests.plant import factories as register
from tests.workorders import factories
from tests.workorders.feeds.following import ORDERS, get, keys, now
from tests.workorders.feeds.writers import another_connection, slots_taken, write

pytestmark = pytest.mark.django_db(transaction=True)
PATIENCE_S = 60


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT")


@pytest.fixture
def secret(plant: Plant) -> str:
    return factories.make_key(plant)[1]


@pytest.fixture
def order(plant: Plant) -> str:
    return factories.make_order_by_hand(register.make_conveyor(plant)).number


@pytest.fixture
def waiting() -> Any:
    """Asks in a thread of its own; answers with the response."""
    with ThreadPoolExecutor(8) as pool:

        def ask(secret: str, **query: Any) -> Future[Any]:
            def run() -> Any:
                try:
                    return Client().get(
                        ORDERS, query, headers={"Authorization": f"Api-Key {secret}"}
                    )
                finally:
                    connection.close()

            return pool.submit(run)

        yield ask


def until(holds: Callable[[], bool]) -> None:
    give_up_at = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < give_up_at
        time.sleep(0.05)


def open_transactions() -> int:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() "
            "AND state = 'idle in transaction'"
        )
        return cursor.fetchone()[0]


@pytest.mark.slow
def test_the_first_change_ends_the_waiting(order: str, secret: str, waiting: Any) -> None:
    asked = waiting(secret, after=now(secret), wait=20)
    until(lambda: slots_taken() == 2)
    # Each look at the feed is one for a moment; whoever waits in one is found every time.
    assert any(open_transactions() == 0 for _look in range(50))

    with another_connection(autocommit=True) as other:
        write(other, order, "7")

    answer = asked.result(PATIENCE_S).json()
    assert keys(answer["results"]) == [("changed", order)]
    assert slots_taken() == 0


@pytest.mark.slow
def test_when_nothing_comes_the_answer_is_empty_and_leads_on(secret: str, order: str) -> None:
    answer = get(secret, after=now(secret), wait=1)

    assert answer["results"] == []
    assert get(secret, after=answer["next"])["results"] == []


@pytest.mark.slow
def test_a_change_that_is_there_needs_no_waiting_and_no_slot(
    order: str, secret: str, settings
) -> None:
    settings.FEED_MOST_WAITING = 0

    assert keys(get(secret, wait=30)["results"]) == [("added", order)]


def test_a_key_may_wait_twice_at_a_time_and_another_key_all_the_same(
    plant: Plant, order: str, secret: str, waiting: Any
) -> None:
    _other, other_secret = factories.make_key(plant)
    after = now(secret)
    asked = [waiting(secret, after=after, wait=20) for _ in range(2)]
    until(lambda: slots_taken() == 4)

    refused = waiting(secret, after=after, wait=20).result(PATIENCE_S)
    assert refused.status_code == HTTPStatus.TOO_MANY_REQUESTS
    assert refused["Retry-After"] == "5"
    assert refused.json()["code"] == "too_many_waiting"
    get(secret, after=after)
    others = waiting(other_secret, after=after, wait=20)
    until(lambda: slots_taken() == 6)

    with another_connection(autocommit=True) as other:
        write(other, order, "7")
    assert all(one.result(PATIENCE_S).json()["results"] for one in [*asked, others])
    assert slots_taken() == 0


@pytest.mark.slow
def test_the_whole_site_lets_only_so_many_wait(
    plant: Plant, order: str, secret: str, waiting: Any, settings
) -> None:
    settings.FEED_MOST_WAITING = 1
    _other, other_secret = factories.make_key(plant)
    after = now(secret)
    asked = waiting(secret, after=after, wait=20)
    until(lambda: slots_taken() == 2)

    get(other_secret, status=HTTPStatus.TOO_MANY_REQUESTS, after=after, wait=20)

    with another_connection(autocommit=True) as other:
        write(other, order, "7")
    assert asked.result(PATIENCE_S).json()["results"]
