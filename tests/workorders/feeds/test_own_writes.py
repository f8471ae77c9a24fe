"""A write through the API is in the feed at once, and spares whoever wrote it on request."""

from typing import Any

import pytest
from django.utils import timezone

from plant.models import Plant
from tests.asking_api import System, system_of
from tests.workorders import factories, part_rows
from tests.workorders.feeds.following import now, told
from workorders.models import WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


@pytest.fixture
def writer(plant: Plant) -> System:
    return system_of(plant)


@pytest.fixture
def reader(plant: Plant) -> str:
    return factories.make_key(plant)[1]


@pytest.fixture
def order(plant: Plant) -> WorkOrder:
    return factories.bring_to(
        factories.make_order_by_hand(factories.make_conveyor(plant)), OrderState.IN_HAND
    )


def write(writer: System, order: WorkOrder, what: str) -> Any:
    at, day = (
        f"/api/v1/work-orders/{order.number}",
        timezone.localdate(timezone=order.conveyor.plant.zone_info),
    )
    if what == "change":
        return writer.patch(at, {"external_number": "70-1"}, 200, version=order.version)
    if what == "move":
        return writer.post(f"{at}/moves", {"to_state": "done"}, 200, version=order.version)
    if what == "bulk":
        item = {"number": order.number, "version": order.version, "people": 2}
        return writer.post("/api/v1/work-orders/bulk", {"items": [item]}, 200)
    if what == "time":
        body = {"worker": "Jo Tarr", "day": day.isoformat(), "hours": 1}
        return writer.post(f"{at}/time", body, 201)
    if what == "part":
        part_rows.make_part(order.conveyor.plant, "5", number="RB-127")
        return writer.post(f"{at}/parts", {"part": "RB-127", "used": 1}, 200)
    return writer.post(f"{at}/notes", {"words": "Two shims used."}, 201)


@pytest.mark.parametrize("what", ["change", "move", "bulk", "time", "part", "note"])
def test_another_reader_is_told_at_once_and_the_writer_spared(
    writer: System, reader: str, order: WorkOrder, what: str
) -> None:
    since = now(reader)

    write(writer, order, what)

    (change,) = told(reader, after=since)
    assert (change["kind"], change["key"]) == ("changed", order.number)
    assert (change["by"], change["who"]) == ("key", "stores system")
    assert told(reader, after=since, own="no") == [change]
    assert told(writer.secret, after=since, own="no") == []
    assert told(writer.secret, after=since) == [change]


def test_an_order_that_was_raised_is_told_as_it_was_answered(
    writer: System, reader: str, order: WorkOrder
) -> None:
    since = now(reader)
    body = {"conveyor": order.conveyor.tag, "title": "Renew the skirt rubber"}

    answer = writer.post("/api/v1/work-orders", body, 201)

    (change,) = told(reader, after=since)
    assert change["kind"] == "added"
    assert change["record"].items() <= answer.items()


def test_a_refused_write_is_not_told(writer: System, reader: str, order: WorkOrder) -> None:
    since = now(reader)
    at = f"/api/v1/work-orders/{order.number}"

    writer.patch(at, {"external_number": "70-1", "urgency": "watch"}, 409, version=order.version)
    item = {"number": order.number, "version": order.version, "people": 2}
    body = {"all_or_nothing": True, "items": [item, {"number": "LT-W-0", "version": 1}]}
    writer.post("/api/v1/work-orders/bulk", body, 409)

    assert told(reader, after=since) == []
