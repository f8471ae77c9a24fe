"""GET /api/v1/work-orders: what comes back, page by page, narrowed, in wire words."""

from datetime import UTC, datetime, timedelta
from http import HTTPStatus
from typing import Any
from urllib.parse import quote

import pytest
from django.test import Client

from plant.models import Plant
from tests.plant import factories as register
from tests.workorders import factories, kin_rows, sheet_rows
from tests.workorders.factories import NOW
from workorders.models import WorkOrder
from workorders.order_states import OrderState, Waiting
from workorders.services import placing, waiting

pytestmark = pytest.mark.django_db
LIST = "/api/v1/work-orders"


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT")


@pytest.fixture
def secret(plant: Plant) -> str:
    return factories.make_key(plant)[1]


@pytest.fixture
def order(plant: Plant) -> WorkOrder:
    conveyor = register.make_complete_conveyor(plant, tag="Q30", left_words="sea side")
    return factories.make_order(factories.make_accepted_cause(factories.make_case(conveyor)))


def get(secret: str, address: str = LIST, status: int = HTTPStatus.OK, **query: Any) -> Any:
    response = Client().get(address, query, headers={"Authorization": f"Api-Key {secret}"})
    assert response.status_code == status, response.content
    return response.json()


def numbers(answer: dict[str, Any]) -> list[str]:
    return [row["number"] for row in answer["results"]]


def test_an_order_is_told_in_wire_words_with_units_in_names(secret: str, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.IN_HAND)

    told = get(secret, f"{LIST}/{order.number}")

    assert told["state"] == "in_hand"
    assert told["urgency"] == "next_outage"
    assert told["zone"] == "return_run_after_the_take_up"
    assert (told["side"], told["side_words"]) == ("left", "sea side")
    assert told["loop_position_m"] == 130.0
    assert told["conveyor"] == {"tag": "Q30", "name": order.conveyor.name}
    assert told["case"] == order.case.number
    assert told["correction"] == factories.CORRECTION
    assert told["waiting_for"] is None
    assert told["belt_position_m"] is None
    assert [move["to_state"] for move in told["moves"]] == [
        "proposed",
        "approved",
        "scheduled",
        "in_hand",
    ]
    assert told["moves"][0]["from_state"] is None


def test_its_place_on_the_outage_sheet_is_told_by_names(secret: str, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.APPROVED)
    window = sheet_rows.make_window(order.conveyor)
    place = sheet_rows.place_in(window, sheet_rows.make_crew(order.conveyor.plant), hours=2)
    placing.place_order(order_id=order.pk, place=place, by=None, now=NOW)

    for told in (get(secret, f"{LIST}/{order.number}"), get(secret)["results"][0]):
        assert (told["window"], told["crew"]) == ("Quay maintenance day", "Day crew")
        assert told["planned_for"] == "2026-11-03T14:30:00Z"
        assert told["planned_until"] == "2026-11-03T16:30:00Z"
        assert told["earliest_on"] is None


def test_orders_that_belong_together_are_told_by_number(secret: str, order: WorkOrder) -> None:
    new = kin_rows.split(order, 2, follows=True)
    by_hand = kin_rows.make_work(order.conveyor)
    kin_rows.merge(order, by_hand)

    told = get(secret, f"{LIST}/{new.number}")
    merged = get(secret, f"{LIST}/{by_hand.number}")

    assert (told["waits_for"], told["split_from"]) == ([order.number], order.number)
    assert (merged["state"], merged["merged_into"]) == ("cancelled", order.number)


def test_instants_are_utc_with_z_whatever_zone_pages_use(secret: str, order: WorkOrder) -> None:
    Plant.objects.update(time_zone="America/Halifax")
    order.steps.filter(place=1).update(done_at=NOW)

    told = get(secret, f"{LIST}/{order.number}")

    assert told["raised_at"] == "2026-11-02T14:30:00Z"
    assert told["steps"][0]["done_at"] == "2026-11-02T14:30:00Z"
    assert told["changed_at"].endswith("Z")


def test_an_order_by_hand_has_no_case_and_no_correction(secret: str, order: WorkOrder) -> None:
    raised = factories.make_order_by_hand(order.conveyor)

    told = get(secret, f"{LIST}/{raised.number}")

    assert (told["case"], told["correction"], told["cause"], told["zone"]) == (None,) * 4


def test_proof_runs_and_waiting_are_told(secret: str, order: WorkOrder) -> None:
    waiting.start_waiting(
        order_id=order.pk, waiting_for=Waiting.OUTAGE, why="ship at berth", by=None, now=NOW
    )
    told = get(secret, f"{LIST}/{order.number}")
    assert (told["waiting_for"], told["waiting_why"]) == ("outage", "ship at berth")

    factories.bring_to(order, OrderState.PROVED)

    told = get(secret, f"{LIST}/{order.number}")
    assert told["proof_runs"] == [
        {
            "passed": True,
            "revolutions_empty": 3,
            "revolutions_loaded": 3,
            "note": "runs true",
            "at": "2026-11-02T15:30:00Z",
        }
    ]
    assert told["ended_at"] == "2026-11-02T15:30:00Z"


def make_some(plant: Plant, how_many: int) -> list[str]:
    """Orders raised two by two at the same instant; their numbers, newest first."""
    conveyor = register.make_conveyor(plant)
    made = [
        factories.make_order_by_hand(conveyor, now=NOW + timedelta(hours=turn // 2)).number
        for turn in range(how_many)
    ]
    return made[::-1]


@pytest.mark.parametrize("limit", [1, 2, 3, 7, 200])
def test_pages_give_every_order_once_newest_first(plant: Plant, secret: str, limit: int) -> None:
    expected = make_some(plant, 7)

    found, answer = [], get(secret, limit=limit)
    while True:
        assert len(answer["results"]) <= limit
        found += numbers(answer)
        if answer["next"] is None:
            break
        answer = get(secret, answer["next"])

    assert found == expected


def test_orders_raised_between_two_pages_neither_repeat_nor_hide_one(
    plant: Plant, secret: str
) -> None:
    expected = make_some(plant, 6)
    first = get(secret, limit=3)
    factories.make_order_by_hand(register.make_conveyor(plant), now=NOW + timedelta(days=1))

    second = get(secret, first["next"])

    assert numbers(first) + numbers(second) == expected


def test_the_next_page_keeps_the_filters(plant: Plant, secret: str) -> None:
    make_some(plant, 4)
    theirs = factories.make_order_by_hand(register.make_conveyor(plant, tag="Z 9"))

    first = get(secret, limit=1, conveyor="Z 9")

    assert numbers(first) == [theirs.number]
    assert first["next"] is None


@pytest.mark.parametrize("limit", ["0", "-1", "201", "ten", "1.5", "", "1e2", "9" * 4000, "٣"])
def test_a_limit_out_of_bounds_is_refused_by_name(secret: str, limit: str) -> None:
    problem = get(secret, status=HTTPStatus.BAD_REQUEST, limit=limit)

    assert problem["code"] == "invalid"
    assert problem["errors"] == [
        {
            "field": "limit",
            "code": "invalid_limit",
            "detail": "Give a whole number from 1 to 200.",
        }
    ]


@pytest.mark.parametrize(
    "cursor",
    ["x", "%%%", "AAAA", "bm90fGE", "MjAyNi0xMS0wMlQxNDozMDowMHwx", "é", "a" * 5000, "\x00"],
)
def test_a_cursor_somebody_made_up_is_refused(secret: str, cursor: str) -> None:
    problem = get(secret, status=HTTPStatus.BAD_REQUEST, cursor=cursor)

    assert problem["errors"][0]["field"] == "cursor"
    assert problem["errors"][0]["code"] == "invalid_cursor"


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"state": "proposed"}, True),
        ({"state": "approved"}, False),
        ({"state": ["approved", "proposed"]}, True),
        ({"urgency": "next_outage"}, True),
        ({"urgency": "stop_now"}, False),
        ({"conveyor": "q30"}, True),
        ({"conveyor": "Q3"}, False),
        ({"changed_since": "2026-01-01T00:00:00Z"}, True),
        ({"changed_since": "2099-01-01T00:00:00Z"}, False),
        ({"changed_since": "0001-01-01T00:00:00+14:00"}, True),
        ({"changed_since": "1348-06-19T23:10:22-21:12"}, True),
        ({"changed_since": "9999-12-31T23:59:59-23:59"}, False),
        ({"cause": "return_idler_skewed"}, True),
        ({"cause": ["belt_cupped", "return_idler_skewed"]}, True),
        ({"cause": "belt_cupped"}, False),
        ({"plant": "lt"}, True),
        ({"plant": "QX"}, False),
        ({"conveyor": ["Q3", "q30"]}, True),
        ({"zone": "return_run_after_the_take_up"}, True),
        ({"zone": "head"}, False),
        ({"case": "LT-C-0001"}, True),
        ({"case": "LT-C-0002"}, False),
        ({"waiting_for": "parts"}, False),
        ({"external_number": "10-4471"}, False),
        ({"words": "ours"}, True),
    ],
)
def test_the_list_is_narrowed(
    secret: str, order: WorkOrder, query: dict[str, Any], found: bool
) -> None:
    assert (order.number in numbers(get(secret, **query))) is found


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("state", "in hand"),
        ("urgency", "yesterday"),
        ("changed_since", "last week"),
        ("changed_since", "2026-13-01T00:00:00Z"),
        ("conveyor", "\x00"),
        ("cause", "x" * 5000),
        ("zone", "return run"),
        ("stat", "proposed"),
        ("state", ""),
        ("changed_since", ["2026-01-01", "2026-02-01"]),
        ("limit", ["1", "2"]),
    ],
)
def test_a_filter_nobody_knows_is_refused_by_name(secret: str, field: str, value: str) -> None:
    problem = get(secret, status=HTTPStatus.BAD_REQUEST, **{field: value})

    assert problem["errors"][0]["field"] == field


def test_changed_since_takes_back_what_changed_at_said(secret: str, order: WorkOrder) -> None:
    told = get(secret, f"{LIST}/{order.number}")["changed_at"]
    later = datetime.fromisoformat(told) + timedelta(microseconds=1)

    assert numbers(get(secret, changed_since=told)) == [order.number]
    assert numbers(get(secret, changed_since=later.astimezone(UTC).isoformat())) == []


@pytest.mark.parametrize("number", ["LT-W-9999", "lt-w-0001", "LT-C-0001", "1", "LT-W-0001\x00"])
def test_an_order_nobody_raised_is_404(secret: str, order: WorkOrder, number: str) -> None:
    problem = get(secret, f"{LIST}/{quote(number)}", status=HTTPStatus.NOT_FOUND)

    assert problem["code"] == "not_found"


def test_the_list_takes_the_same_few_queries_however_long_it_is(
    plant: Plant, secret: str, django_assert_max_num_queries
) -> None:
    make_some(plant, 12)

    with django_assert_max_num_queries(4):
        assert len(get(secret)["results"]) == 12


def test_one_order_takes_the_same_few_queries(
    secret: str, order: WorkOrder, django_assert_max_num_queries
) -> None:
    factories.bring_to(order, OrderState.PROVED)

    # Its key, with what it asked lately, then the order and four tables of its rows.
    with django_assert_max_num_queries(8):
        get(secret, f"{LIST}/{order.number}")
