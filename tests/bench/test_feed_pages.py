"""Pages of a change feed at any depth, against a bare query: targets 1.3 and half its rate.

With 1 M work orders and 5 M changes, or FEED_BENCH_ORDERS of the one and five times as many of
the other. Nothing is asserted of seconds: both sides run on this machine, in this run.
"""

import os
import statistics
import time
from collections.abc import Callable
from typing import Any

import orjson
import psycopg
import pytest
from django.core.wsgi import get_wsgi_application
from django.db import connection
from django.test import RequestFactory

from plant.api import feed_asking
from plant.models import Feed, FeedChange, Plant
from plant.selectors.feed_pages import Place
from tests.bench import feed_rows
from tests.plant import factories as register
from tests.workorders import factories

ORDERS = int(os.environ.get("FEED_BENCH_ORDERS", "1000000"))
CHANGES = 5 * ORDERS
PAGE = 1000
DEPTHS = (0.0, 0.1, 0.5, 0.9, 1.0)
ROUNDS, WALKED = 15, 200
_PAGES = min(WALKED, int(0.9 * CHANGES / PAGE))
ADDRESS = "/api/v1/work-orders/changes"


@pytest.mark.bench
@pytest.mark.django_db(transaction=True)
def test_what_a_page_of_changes_takes_at_any_depth(capsys: Any) -> None:
    plant = register.make_plant(code="LT")
    started = time.perf_counter()
    feed_rows.make_orders(register.make_conveyor(plant, tag="Q30"), ORDERS)
    small = feed_rows.make_changes(plant, ORDERS, CHANGES)
    made_s = time.perf_counter() - started

    ask = _reader(plant)
    costs = _costs(plant, ask)
    with _bare_connection() as bare:
        bare_rate, bare_bytes = _rate(lambda seen: _bare_page(bare, plant, seen))
        rate, our_bytes = _rate(lambda seen: _our_page(ask, seen))
    small_costs = _costs(small, _reader(small), (0.0, 1.0))

    with capsys.disabled():
        print(
            f"\n{ORDERS:,} work orders, {CHANGES:,} changes, made in {made_s:.0f} s. "
            f"A page of {PAGE} by depth: {_in_words(costs)}; "
            f"deepest to first {costs[1.0] / costs[0.0]:.2f} (target 1.3). "
            f"A plant with {CHANGES // feed_rows.SMALL_SHARE:,} of them: {_in_words(small_costs)}. "
            f"{_PAGES} pages in a row: {rate:,.0f} changes/s and {our_bytes / 1e6:.1f} MB; bare "
            f"psycopg and orjson {bare_rate:,.0f} changes/s and {bare_bytes / 1e6:.1f} MB; "
            f"ratio {rate / bare_rate:.2f} (target 0.5)."
        )


def _reader(plant: Plant) -> Callable[[str], bytes]:
    """The whole site, called as its web server calls it."""
    _key, secret = factories.make_key(plant)
    site, requests = get_wsgi_application(), RequestFactory()
    headers = {"Authorization": f"Api-Key {secret}"}
    # As the settings have it; tests close the connection after each request.
    connection.settings_dict["CONN_MAX_AGE"] = 60

    def ask(after: str) -> bytes:
        said = []
        request = requests.get(ADDRESS, {"limit": PAGE, "after": after}, headers=headers)
        answer = site(request.environ, lambda status, _headers: said.append(status))
        body = b"".join(answer)
        answer.close()
        assert said == ["200 OK"]
        return body

    return ask


def _costs(
    plant: Plant, ask: Callable[[str], bytes], depths: tuple[float, ...] = DEPTHS
) -> dict[float, float]:
    """Median seconds of a full page at each depth, the depths taken in turn."""
    cursors = {depth: _cursor_at(plant, depth) for depth in depths}
    taken: dict[float, list[float]] = {depth: [] for depth in depths}
    for _turn in range(ROUNDS):
        for depth, cursor in cursors.items():
            started = time.perf_counter()
            body = ask(cursor)
            taken[depth].append(time.perf_counter() - started)
            assert body.count(b'"of":"work_order"') == PAGE
    return {depth: statistics.median(seconds) for depth, seconds in taken.items()}


def _cursor_at(plant: Plant, depth: float) -> str:
    if not depth:
        return ""
    mine = FeedChange.objects.filter(plant=plant, feed=Feed.WORK_ORDERS)
    number = depth * CHANGES
    before = mine.filter(number__lte=number).order_by("-number")
    # The last full page ends with the last change.
    row = before[PAGE] if depth == 1.0 else before[0]
    return feed_asking.cursor_of(Place(row.number, row.numbered_at), Feed.WORK_ORDERS)


def _rate(page: Callable[[Any], tuple[bytes, Any]]) -> tuple[float, int]:
    """Changes a second over pages in a row, and how many bytes they were."""
    size, seen = 0, None
    started = time.perf_counter()
    for _turn in range(_PAGES):
        body, seen = page(seen)
        size += len(body)
    return _PAGES * PAGE / (time.perf_counter() - started), size


def _our_page(ask: Callable[[str], bytes], seen: str | None) -> tuple[bytes, str]:
    body = ask(seen or "")
    return body, body[9 : body.index(b'"', 9)].decode()


def _bare_page(bare: Any, plant: Plant, seen: int | None) -> tuple[bytes, int]:
    rows = bare.execute(
        "SELECT number, numbered_at, at, kind, of, key, who, by_key, record FROM plant_feedchange "
        "WHERE plant_id = %s AND feed = 'work_orders' AND number > %s ORDER BY number LIMIT %s",
        [plant.pk, seen or 0, PAGE],
    ).fetchall()
    return orjson.dumps(rows), rows[-1][0]


def _bare_connection() -> Any:
    params = connection.get_connection_params()
    return psycopg.connect(
        host=params["host"], user=params["user"], dbname=params["dbname"], autocommit=True
    )


def _in_words(costs: dict[float, float]) -> str:
    return ", ".join(f"{depth:.0%} {seconds * 1e3:.1f} ms" for depth, seconds in costs.items())
