"""Commit by commit: what commits late comes late, and a reader never passes it by."""

import pytest

from plant.models import Plant
from plant.selectors import feed_pages
from tests.plant import factories as register
from tests.workorders import factories
from tests.workorders.feeds.following import get, now, told
from tests.workorders.feeds.writers import another_connection, lock_position, write

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT")


@pytest.fixture
def secret(plant: Plant) -> str:
    return factories.make_key(plant)[1]


@pytest.fixture
def orders(plant: Plant) -> list[str]:
    conveyor = register.make_conveyor(plant)
    return [factories.make_order_by_hand(conveyor).number for _ in range(2)]


def seen(secret: str, after: str) -> tuple[list[tuple[str, str]], str]:
    answer = get(secret, after=after)
    changes = [(one["key"], one["record"]["external_number"]) for one in answer["results"]]
    return changes, answer["next"]


def test_a_transaction_that_commits_late_appears_late_and_is_not_skipped(
    orders: list[str], secret: str
) -> None:
    slow_order, quick_order = orders
    after = now(secret)
    with another_connection() as slow, another_connection() as quick:
        write(slow, slow_order, "began first")
        write(quick, quick_order, "began second")
        quick.commit()
        first, after = seen(secret, after)
        again, after = seen(secret, after)
        slow.commit()
    late, after = seen(secret, after)

    assert first == [(quick_order, "began second")]
    assert again == []
    assert late == [(slow_order, "began first")]
    assert seen(secret, after)[0] == []


@pytest.mark.slow
def test_what_is_rolled_back_was_never_there(orders: list[str], secret: str) -> None:
    after = now(secret)
    with another_connection() as undecided:
        write(undecided, orders[0], "never")
        assert seen(secret, after)[0] == []

    assert seen(secret, after)[0] == []


@pytest.mark.slow
def test_two_writers_of_one_order_are_told_in_the_order_of_their_commits(
    orders: list[str], secret: str
) -> None:
    after = now(secret)
    with another_connection() as first, another_connection() as second:
        write(second, orders[1], "holds another row")
        write(first, orders[0], "1")
        first.commit()
        write(second, orders[0], "2")
        second.commit()

    changes, _after = seen(secret, after)

    assert [one for one in changes if one[0] == orders[0]] == [(orders[0], "1"), (orders[0], "2")]


@pytest.mark.slow
def test_a_long_transaction_elsewhere_holds_up_nobody(orders: list[str], secret: str) -> None:
    after = now(secret)
    with another_connection() as long, another_connection(autocommit=True) as quick:
        write(long, orders[0], "still thinking")
        for turn in ("1", "2", "3"):
            write(quick, orders[1], turn)
            changes, after = seen(secret, after)
            assert changes == [(orders[1], turn)]


@pytest.mark.slow
def test_while_somebody_numbers_a_reader_is_answered_and_gets_the_rest_later(
    orders: list[str], secret: str
) -> None:
    after = now(secret)
    with another_connection() as numbering, another_connection(autocommit=True) as quick:
        lock_position(numbering)
        write(quick, orders[0], "1")
        held_up, after = seen(secret, after)
        # This is how it would be noticed that nobody goes on.
        assert feed_pages.lag().changes == 1
        assert feed_pages.lag().since is not None

    assert held_up == []
    assert seen(secret, after)[0] == [(orders[0], "1")]
    assert feed_pages.lag() == feed_pages.Lag(0, None)


@pytest.mark.slow
def test_emptied_tables_begin_anew(orders: list[str], secret: str) -> None:
    with another_connection(autocommit=True) as other:
        other.cursor().execute("TRUNCATE plant_feedposition, plant_feedchange")
        write(other, orders[0], "1")

    assert (orders[0], "1") in [
        (one["key"], one["record"]["external_number"]) for one in told(secret)
    ]
