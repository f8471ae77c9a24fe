"""Two hundred writes in one request against two hundred requests: seconds and statements of each.

A bulk must cost no more per item than a request of its own, and not more per item the more there
are. BULK_BENCH_ITEMS says how many. Nothing is asserted of seconds.
"""

import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection

from plant.models import Conveyor, Plant
from tests.asking_api import System, system_of
from tests.plant import factories as register
from tests.workorders import factories
from workorders.models import WorkOrder

ITEMS = int(os.environ.get("BULK_BENCH_ITEMS", "200"))
BELTS = 10
_SMALL = 20
START = datetime(2026, 3, 1, tzinfo=UTC)


@dataclass
class Spent:
    seconds: float = 0.0
    statements: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Kind:
    """`one` writes an item by a request of its own, `item` is the same within a bulk."""

    bulk: str
    item: Callable[[int], dict[str, Any]]
    one: Callable[[int], Any]


@pytest.mark.bench
@pytest.mark.django_db(transaction=True)
def test_what_an_item_costs_in_a_bulk_and_alone(capsys: Any, settings: Any) -> None:
    settings.API_REQUESTS_PER_MINUTE = 0
    plant = register.make_plant(code="LT")
    belts = [register.make_complete_conveyor(plant, tag=f"Q{one}") for one in range(BELTS)]
    system = system_of(plant)
    connection.settings_dict["CONN_MAX_AGE"] = 600
    lines = [
        f"  {name}: {_compared(system, kind)}"
        for name, kind in _kinds(plant, belts, system).items()
    ]

    with capsys.disabled():
        print(f"\n{ITEMS} items, statements and milliseconds of each:")
        print("\n".join(lines))


def _compared(system: System, kind: Kind) -> str:
    """Alone, in a small bulk and in a whole one; each with items that none of the others has."""
    kind.one(3 * ITEMS)
    with _counted() as alone:
        for number in range(ITEMS):
            kind.one(number)
    whole = _sent(system, kind, range(ITEMS, 2 * ITEMS))
    small = _sent(system, kind, range(2 * ITEMS, 2 * ITEMS + _SMALL))
    ways = {"alone": (alone, ITEMS), "bulk": (whole, ITEMS), f"of {_SMALL}": (small, _SMALL)}
    told = ", ".join(
        f"{name} {len(spent.statements) / many:.1f} and {spent.seconds / many * 1e3:.1f}"
        for name, (spent, many) in ways.items()
    )
    return f"{told}; bulk to alone {whole.seconds / alone.seconds:.2f}"


def _sent(system: System, kind: Kind, numbers: range) -> Spent:
    body = {"items": [kind.item(number) for number in numbers]}
    with _counted() as spent:
        results = system.post(kind.bulk, body, 200)["results"]
    assert {one["status"] for one in results} <= {200, 201}, results[:2]
    return spent


def _kinds(plant: Plant, belts: list[Conveyor], system: System) -> dict[str, Kind]:
    orders = [factories.make_order_by_hand(belts[n % BELTS]) for n in range(3 * ITEMS + 1)]

    def tag(number: int) -> str:
        return belts[number % BELTS].tag

    return {
        "orders": _order_kind(orders, system),
        "meter readings": _posted(system, "meter-readings", tag, _meter),
        "condition readings": _posted(system, "condition-readings", tag, _condition),
        "complaints": Kind(
            "/api/v1/complaints/bulk",
            lambda n: {"conveyor": tag(n), "words": f"rubs its frame, {n}"},
            lambda n: system.post(
                "/api/v1/complaints", {"conveyor": tag(n), "words": f"rubs its frame, {n}"}, 201
            ),
        ),
    }


def _order_kind(orders: list[WorkOrder], system: System) -> Kind:
    def item(number: int) -> dict[str, Any]:
        return {"number": orders[number].number, "version": 1, **asked(number)}

    def asked(number: int) -> dict[str, Any]:
        return {"external_number": f"70-{number}", "title": f"Clean chute {number}"}

    def one(number: int) -> Any:
        address = f"/api/v1/work-orders/{orders[number].number}"
        return system.patch(address, asked(number), 200, version=1)

    return Kind("/api/v1/work-orders/bulk", item, one)


def _posted(
    system: System, noun: str, tag: Callable[[int], str], body: Callable[[int], dict[str, Any]]
) -> Kind:
    return Kind(
        f"/api/v1/{noun}/bulk",
        lambda number: {"conveyor": tag(number), **body(number)},
        lambda number: system.post(f"/api/v1/conveyors/{tag(number)}/{noun}", body(number), 201),
    )


def _meter(number: int) -> dict[str, Any]:
    at = START + timedelta(hours=number)
    return {"quantity": "running_hours", "read_at": at.isoformat(), "reading": number + 1}


def _condition(number: int) -> dict[str, Any]:
    at = START + timedelta(hours=number)
    return {
        "quantity": "lagging_thickness",
        "component": "Head pulley",
        "value": 9.5,
        "taken_at": at.isoformat(),
    }


@contextmanager
def _counted() -> Iterator[Spent]:
    spent = Spent()

    def keep(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        spent.statements.append(sql)
        return execute(sql, params, many, context)

    started = time.perf_counter()
    with connection.execute_wrapper(keep):
        yield spent
    spent.seconds = time.perf_counter() - started
