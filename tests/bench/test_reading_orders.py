"""What a page of work orders costs among a million, by what is asked, and what counting them costs.

With READ_BENCH_ORDERS orders. Seconds are of this run alone; blocks of the database (8 KiB each)
are what a page had to look at, and say whether an index leads to it. Nothing is asserted.
"""

import os
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
from django.core.wsgi import get_wsgi_application
from django.db import connection
from django.test import RequestFactory
from django.utils import timezone

from plant.api import paging
from plant.models import Plant
from tests.bench import order_rows
from tests.plant import factories as register
from tests.workorders import factories
from workorders.models import WorkOrder

ORDERS = int(os.environ.get("READ_BENCH_ORDERS", "1000000"))
ADDRESS = "/api/v1/work-orders"
ROUNDS = 5
DEEP = 0.9
NOW = timezone.now()
_RECENT, _LONG_AGO = NOW - timedelta(hours=1), NOW - timedelta(days=3000)
QUESTIONS: dict[str, dict[str, Any]] = {
    "all": {},
    "state=proposed": {"state": "proposed"},
    "state=proved": {"state": "proved"},
    "state, two": {"state": ["proposed", "in_hand"]},
    "conveyor": {"conveyor": "q17"},
    "conveyor, two": {"conveyor": ["q17", "q18"]},
    "conveyor, state=proposed": {"conveyor": "q17", "state": "proposed"},
    "conveyor that is none": {"conveyor": "q999"},
    "urgency=watch": {"urgency": "watch"},
    "urgency, rare": {"urgency": "stop_now"},
    "urgency, rare and proposed": {"urgency": "stop_now", "state": "proposed"},
    "cause, common": {"cause": "return_idler_skewed"},
    "cause, rare": {"cause": "belt_bowed"},
    "cause that is none": {"cause": "nothing_such"},
    "zone, rare": {"zone": "take_up"},
    "waiting_for, rare": {"waiting_for": "parts"},
    "case that is none": {"case": "LT-9999"},
    "external_number": {"external_number": "70-777"},
    "external_number that is none": {"external_number": "71-1"},
    "changed_since an hour": {"changed_since": _RECENT.isoformat()},
    "changed_since years": {"changed_since": _LONG_AGO.isoformat()},
    "changed_since an hour, cause": {
        "changed_since": _RECENT.isoformat(),
        "cause": "return_idler_skewed",
    },
}


@dataclass(frozen=True)
class Cost:
    seconds: float
    rows: int
    blocks: int


@pytest.mark.bench
@pytest.mark.django_db(transaction=True)
def test_what_a_page_of_orders_costs_by_what_is_asked(capsys: Any) -> None:
    plant = register.make_plant(code="LT")
    small = order_rows.make_history(plant, ORDERS, NOW)
    ask, ask_small = _asker(plant), _asker(small)
    deep = _cursor_at(DEEP)

    lines = [
        f"  {name}: first {_words(_cost(ask, asked))}; "
        f"deep {_words(_cost(ask, {**asked, 'cursor': deep}))}; "
        f"counted {_words(_cost(ask, {**asked, 'count': 'yes'}))}"
        for name, asked in QUESTIONS.items()
    ]
    lines += [
        f"  small plant, {name}: first {_words(_cost(ask_small, QUESTIONS[name]))}"
        for name in ("all", "state=proposed", "changed_since an hour", "cause, rare")
    ]

    with capsys.disabled():
        print(f"\n{ORDERS:,} work orders, of the small plant one in {order_rows.SMALL_SHARE:,}:")
        print("\n".join(lines))


def _words(cost: Cost) -> str:
    return f"{cost.seconds * 1e3:.1f} ms, {cost.rows} rows, {cost.blocks:,} blocks"


Ask = Callable[[dict[str, Any]], bytes]


def _cost(ask: Ask, asked: dict[str, Any]) -> Cost:
    kept: list[tuple[str, Any]] = []

    def keep(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        kept.append((sql, params))
        return execute(sql, params, many, context)

    with connection.execute_wrapper(keep):
        body = ask(asked)
    taken = []
    # What takes long is taken once more, what is quick often.
    while len(taken) < ROUNDS and sum(taken) < 2.0:
        started = time.perf_counter()
        ask(asked)
        taken.append(time.perf_counter() - started)
    blocks = sum(_blocks(sql, params) for sql, params in kept if '"workorders_workorder"' in sql)
    return Cost(statistics.median(taken), body.count(b'"external_number":'), blocks)


def _blocks(sql: str, params: Any) -> int:
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN (ANALYZE, BUFFERS, FORMAT JSON) {sql}", params)
        plan = cursor.fetchone()[0][0]
    if "READ_BENCH_PLANS" in os.environ:
        _print(plan["Plan"], f"{sql[sql.index(' WHERE ') :]} {params}")
    return int(plan["Plan"]["Shared Hit Blocks"] + plan["Plan"]["Shared Read Blocks"])


def _print(node: dict[str, Any], sql: str = "", depth: int = 0) -> None:
    if sql:
        print("\n" + sql)
    ways = [node.get(one, "") for one in ("Node Type", "Index Name", "Relation Name")]
    figures = [node.get(one, 0) for one in ("Actual Rows", "Rows Removed by Filter", "Plan Rows")]
    print("  " * depth, *ways, *figures)
    for one in node.get("Plans", ()):
        _print(one, depth=depth + 1)


def _asker(plant: Plant) -> Ask:
    """The whole site, called as its web server calls it."""
    _key, secret = factories.make_key(plant, requests_per_minute=0)
    site, requests = get_wsgi_application(), RequestFactory()
    headers = {"Authorization": f"Api-Key {secret}"}
    # As the settings have it; tests close the connection after each request.
    connection.settings_dict["CONN_MAX_AGE"] = 60

    def ask(asked: dict[str, Any]) -> bytes:
        said = []
        request = requests.get(ADDRESS, asked, headers=headers)
        answer = site(request.environ, lambda status, _headers: said.append(status))
        body = b"".join(answer)
        answer.close()
        assert said == ["200 OK"], body
        return body

    return ask


def _cursor_at(depth: float) -> str:
    row = WorkOrder.objects.order_by("-raised_at", "-pk")[int(depth * (ORDERS - 1))]
    return paging._write(row.raised_at, row.pk)
