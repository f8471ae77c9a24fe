"""Several orders changed in one request: each for itself, or all or none."""

from typing import Any

import pytest
from django.test import Client

from plant.models import Plant
from tests.asking_api import System, system_of
from tests.plant import factories as register
from tests.workorders import factories
from workorders.models import OrderMove, WorkOrder

pytestmark = pytest.mark.django_db
BULK = "/api/v1/work-orders/bulk"


@pytest.fixture
def system(plant: Plant) -> System:
    return system_of(plant)


@pytest.fixture
def orders(plant: Plant) -> list[WorkOrder]:
    conveyor = register.make_conveyor(plant)
    return [factories.make_order_by_hand(conveyor) for _ in range(3)]


def item(order: WorkOrder, **asked: Any) -> dict[str, Any]:
    return {"number": order.number, "version": order.version, **asked}


def numbers() -> list[str]:
    return list(WorkOrder.objects.order_by("pk").values_list("external_number", flat=True))


def test_each_item_is_judged_for_itself(system: System, orders: list[WorkOrder]) -> None:
    other = factories.make_order_by_hand(register.make_conveyor(register.make_plant()))
    asked = [
        item(orders[0], external_number="70-1", move={"to_state": "approved"}),
        item(orders[1], move={"to_state": "done"}),
        {**item(orders[2], external_number="70-3"), "version": 7},
        {"number": orders[2].number, "external_number": "70-3"},
        item(other, external_number="70-4"),
        item(orders[2], urgency="yesterday"),
        {"number": 5, "version": "x"},
        item(orders[2], external_number="70-3"),
    ]

    told = system.post(BULK, {"items": asked}, 200)["results"]

    assert [one["index"] for one in told] == list(range(8))
    assert [one["status"] for one in told] == [200, 409, 412, 428, 404, 400, 400, 200]
    assert [one.get("problem", {}).get("code") for one in told] == [
        None,
        "illegal_order_move",
        "order_changed_meanwhile",
        "precondition_required",
        "not_found",
        "invalid",
        "invalid",
        None,
    ]
    assert (told[0]["record"]["state"], told[0]["record"]["external_number"]) == (
        "approved",
        "70-1",
    )
    assert told[2]["problem"]["present"]["number"] == orders[2].number
    assert told[5]["problem"]["errors"][0]["field"] == "urgency"
    assert numbers() == ["70-1", "", "70-3", ""]


def test_all_or_nothing_undoes_all_and_tells_of_each(
    system: System, orders: list[WorkOrder]
) -> None:
    asked = [
        item(orders[0], external_number="70-1", move={"to_state": "approved"}),
        item(orders[1], move={"to_state": "done"}),
        item(orders[2], external_number="70-3"),
    ]

    told = system.post(BULK, {"all_or_nothing": True, "items": asked}, 409)

    assert told["code"] == "all_or_nothing"
    assert [one["status"] for one in told["results"]] == [424, 409, 424]
    assert told["results"][1]["problem"]["code"] == "illegal_order_move"
    assert numbers() == ["", "", ""]
    assert OrderMove.objects.count() == 3
    mended = [asked[0], asked[2]]
    told = system.post(BULK, {"all_or_nothing": True, "items": mended}, 200)
    assert [one["status"] for one in told["results"]] == [200, 200]


def test_two_items_of_one_order_follow_each_other(system: System, orders: list[WorkOrder]) -> None:
    """The second must know the version that the first made."""
    first, second = item(orders[0], title="Clean the chute"), item(orders[0], people=2)

    told = system.post(BULK, {"items": [first, second, {**second, "version": 2}]}, 200)

    assert [one["status"] for one in told["results"]] == [200, 412, 200]


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({}, "items"),
        ({"items": []}, "items"),
        ({"items": {}}, "items"),
        ({"items": [5]}, "items.0"),
        ({"items": [{"number": "LT-W-0001"}] * 201}, "items"),
        ({"items": [{}], "all_or_nothing": "perhaps"}, "all_or_nothing"),
    ],
)
def test_a_request_that_is_none_is_refused_as_a_whole(
    system: System, body: dict[str, Any], field: str
) -> None:
    assert [one["field"] for one in system.post(BULK, body, 400)["errors"]] == [field]


def test_a_bulk_request_sent_again_is_done_once(system: System, orders: list[WorkOrder]) -> None:
    asked = {"items": [item(orders[0], move={"to_state": "approved"})]}
    headers = {"Authorization": f"Api-Key {system.secret}", "Idempotency-Key": "shift 3"}

    first = Client().post(BULK, asked, "application/json", headers=headers)
    again = Client().post(BULK, asked, "application/json", headers=headers)

    assert first.json()["results"][0]["status"] == 200
    assert again.content == first.content
    assert OrderMove.objects.count() == 4


def test_what_was_undone_is_not_kept_under_its_key(system: System, orders: list[WorkOrder]) -> None:
    asked = {"all_or_nothing": True, "items": [item(orders[0], move={"to_state": "done"})]}
    headers = {"Authorization": f"Api-Key {system.secret}", "Idempotency-Key": "shift 3"}
    refused = Client().post(BULK, asked, "application/json", headers=headers)
    assert refused.status_code == 409
    assert refused.headers["Content-Type"] == "application/problem+json"
    assert len(refused.json()["results"]) == 1

    asked["items"] = [item(orders[0], move={"to_state": "approved"})]

    assert Client().post(BULK, asked, "application/json", headers=headers).status_code == 200


def test_an_order_raised_twice_under_one_key_is_one_order(
    system: System, orders: list[WorkOrder]
) -> None:
    body = {"conveyor": orders[0].conveyor.tag, "title": "Renew the skirt rubber"}
    headers = {"Authorization": f"Api-Key {system.secret}", "Idempotency-Key": "70-1188"}

    first = Client().post("/api/v1/work-orders", body, "application/json", headers=headers)
    again = Client().post("/api/v1/work-orders", body, "application/json", headers=headers)

    assert (first.status_code, again.status_code) == (201, 201)
    assert again.json() == first.json()
    for name in ("Location", "ETag", "Content-Type"):
        assert again.headers[name] == first.headers[name]
    assert first.headers["ETag"].startswith('"1-')
    assert WorkOrder.objects.count() == 4
    changed = Client().patch(
        again.headers["Location"],
        {"people": 2},
        "application/json",
        headers={"Authorization": headers["Authorization"], "If-Match": again.headers["ETag"]},
    )
    assert changed.json()["people"] == 2
