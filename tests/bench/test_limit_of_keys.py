"""What counting the requests of a key costs: a list of 25 orders with and without, in turn.

Also with four threads of one key at once, where requests could wait for each other's count. The
figures are ratios of one run on one machine; nothing is asserted of seconds.
"""

import statistics
import threading
import time
from typing import Any

import pytest
from django.core.wsgi import get_wsgi_application
from django.db import connection
from django.test import RequestFactory

from tests.plant import factories as register
from tests.workorders import factories

ADDRESS = "/api/v1/work-orders"
ROUNDS, ORDERS, THREADS = 200, 25, 4


@pytest.mark.bench
@pytest.mark.django_db(transaction=True)
def test_what_counting_costs_a_request(capsys: Any, settings: Any) -> None:
    plant = register.make_plant(code="LT")
    conveyor = register.make_conveyor(plant, tag="Q30")
    for _order in range(ORDERS):
        factories.make_order_by_hand(conveyor)
    _key, secret = factories.make_key(plant)
    connection.settings_dict["CONN_MAX_AGE"] = 60
    ask = _asker(secret)

    taken: dict[int, list[float]] = {0: [], 1_000_000: []}
    for _turn in range(ROUNDS):
        for limit, seconds in taken.items():
            settings.API_REQUESTS_PER_MINUTE = limit
            started = time.perf_counter()
            ask()
            seconds.append(time.perf_counter() - started)
    plain_s, counted_s = (statistics.median(one) for one in taken.values())
    together = {}
    for limit in taken:
        settings.API_REQUESTS_PER_MINUTE = limit
        together[limit] = _rate_of_threads(ask)

    with capsys.disabled():
        print(
            f"\nA page of {ORDERS} orders {plain_s * 1e3:.2f} ms, "
            f"counted {counted_s * 1e3:.2f} ms: "
            f"ratio {counted_s / plain_s:.2f}. {THREADS} threads of one key: "
            f"{together[0]:.0f} requests/s, counted {together[1_000_000]:.0f}: "
            f"ratio {together[0] / together[1_000_000]:.2f}."
        )


def _asker(secret: str) -> Any:
    site, requests = get_wsgi_application(), RequestFactory()

    def ask() -> None:
        said = []
        request = requests.get(ADDRESS, headers={"Authorization": f"Api-Key {secret}"})
        answer = site(request.environ, lambda status, _headers: said.append(status))
        b"".join(answer)
        answer.close()
        assert said == ["200 OK"]

    return ask


def _rate_of_threads(ask: Any) -> float:
    def work() -> None:
        try:
            for _turn in range(ROUNDS // THREADS):
                ask()
        finally:
            connection.close()

    threads = [threading.Thread(target=work) for _one in range(THREADS)]
    started = time.perf_counter()
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    return ROUNDS / (time.perf_counter() - started)
