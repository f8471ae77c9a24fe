"""What another system writes about orders: raised, changed, moved, as the services allow."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from plant.models import Plant
from plant.roles import Role
from tests.asking_api import System, system_of
from tests.plant import factories as register
from tests.workorders import factories, kin_rows
from tests.workorders.pages import client_of
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.services import linking

pytestmark = pytest.mark.django_db
LIST = "/api/v1/work-orders"


@pytest.fixture
def system(plant: Plant) -> System:
    return system_of(plant)


def at(order: WorkOrder, part: str = "") -> str:
    return f"{LIST}/{order.number}{part}"


def soon(days: int = 3) -> str:
    return (timezone.now() + timedelta(days=days)).isoformat()


def raised(**changed: Any) -> dict[str, Any]:
    return {"conveyor": "Q30", "title": "Renew the skirt rubber", **changed}


@pytest.fixture
def conveyor(plant: Plant):
    return register.make_complete_conveyor(plant, tag="Q30")


def test_work_is_raised_as_by_hand_and_shows_who_asked(
    system: System, conveyor: Any, plant: Plant
) -> None:
    told = system.post(
        LIST,
        raised(
            conveyor="q30",
            component="Head pulley",
            steps=["Take the old rubber off", "Fit the new one"],
            urgency="this_shift",
            urgency_why="the ship is at berth",
            due_on="2026-12-04",
            external_number="70-1188",
        ),
        201,
    )

    assert told["state"] == "proposed"
    assert (told["conveyor"]["tag"], told["component"]) == ("Q30", "Head pulley")
    assert [step["what"] for step in told["steps"]][-2:] == [
        "Take the old rubber off",
        "Fit the new one",
    ]
    assert (told["urgency"], told["urgency_why"]) == ("this_shift", "the ship is at berth")
    assert (told["due_on"], told["external_number"]) == ("2026-12-04", "70-1188")
    assert told["cautions"]
    assert told["moves"][0]["by"] == "stores system"
    page = client_of(Role.PLANNER, plant).get(f"/work/{told['number']}/").content.decode()
    assert page.count("stores system") >= 2


def test_a_raised_order_tells_where_it_is(system: System, conveyor: Any) -> None:
    headers = {"Authorization": f"Api-Key {system.secret}"}
    answer = Client().post(LIST, raised(), "application/json", headers=headers)

    assert answer.headers["Location"] == f"{LIST}/{answer.json()['number']}"
    assert system.get(answer.headers["Location"])["title"] == "Renew the skirt rubber"


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"conveyor": "Q99"}, "conveyor"),
        ({"conveyor": "Q\x0030"}, "conveyor"),
        ({"title": " "}, "title"),
        ({"title": "x" * 201}, "title"),
        ({"work_method": "pray"}, "work_method"),
        ({"urgency": "yesterday"}, "urgency"),
        ({"due_on": "4 December"}, "due_on"),
        ({"due_on": "0001-01-01"}, "due_on"),
        ({"due_on": "2026-12-01", "earliest_on": "2026-12-02"}, "earliest_on"),
        ({"loop_position_m": 10**400}, "loop_position_m"),
        ({"loop_position_m": "nan"}, "loop_position_m"),
        ({"loop_position_m": -1}, "loop_position_m"),
        ({"steps": "Take it off"}, "steps"),
        ({"steps": ["x"] * 101}, "steps"),
        ({"steps": ["half \x00"]}, "steps.0"),
        ({"external_number": "9" * 81}, "external_number"),
    ],
)
def test_what_cannot_be_is_refused_by_field(
    system: System, conveyor: Any, wrong: dict[str, Any], field: str
) -> None:
    told = system.post(LIST, raised(**wrong), 400)

    assert told["code"] == "invalid"
    assert [one["field"] for one in told["errors"]] == [field]
    assert not WorkOrder.objects.exists()


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ({"component": "Nowhere"}, "unknown_place"),
        ({"loop_position_m": 9999}, "unknown_place"),
        ({"urgency": "stop_now"}, "urgency_needs_reason"),
    ],
)
def test_what_the_service_refuses_is_told_with_its_code(
    system: System, conveyor: Any, wrong: dict[str, Any], code: str
) -> None:
    assert system.post(LIST, raised(**wrong), 409)["code"] == code
    assert not WorkOrder.objects.exists()


def test_the_belt_of_another_plant_is_not_known(system: System) -> None:
    register.make_complete_conveyor(register.make_plant(), tag="Q30")

    assert system.post(LIST, raised(), 400)["errors"][0]["code"] == "unknown_conveyor"


def test_what_is_left_out_of_a_change_stays(system: System, order: WorkOrder) -> None:
    before = system.get(at(order))

    told = system.patch(
        at(order), {"external_number": "70-1", "duration_h": 2.5}, 200, version=order.version
    )

    changed = {"external_number", "duration_h", "version", "changed_at"}
    assert (told["external_number"], told["duration_h"]) == ("70-1", 2.5)
    assert {name for name in before if before[name] != told[name]} == changed
    assert told["version"] == order.version + 1
    log = order.changes.get()
    assert (log.by, log.who) == (None, "stores system")


def test_everything_a_planner_may_change_can_be_changed_at_once(
    system: System, order: WorkOrder, plant: Plant
) -> None:
    told = system.patch(
        at(order),
        {
            "urgency": "stop_now",
            "urgency_why": "18 mm are left",
            "due_on": "2026-12-04",
            "earliest_on": "2026-12-01",
            "people": 3,
            "tools": ["square"],
            "parts": [],
            "waiting_for": "parts",
            "waiting_why": "rolls on Tuesday",
        },
        200,
        version=order.version,
    )

    assert (told["urgency"], told["urgency_why"]) == ("stop_now", "18 mm are left")
    assert (told["earliest_on"], told["due_on"]) == ("2026-12-01", "2026-12-04")
    assert (told["people"], told["tools"], told["parts"]) == (3, ["square"], [])
    assert (told["waiting_for"], told["waiting_why"]) == ("parts", "rolls on Tuesday")
    page = client_of(Role.PLANNER, plant).get(f"/work/{order.number}/").content.decode()
    assert page.count("stores system") >= 3
    assert "Not before" in page


def test_a_change_that_changes_nothing_leaves_no_trace(system: System, order: WorkOrder) -> None:
    first = system.patch(
        at(order), {"waiting_for": "outage", "waiting_why": "ship"}, 200, version=order.version
    )

    again = system.patch(
        at(order),
        {"waiting_for": "outage", "waiting_why": "ship", "urgency": first["urgency"]},
        200,
        version=first["version"],
    )

    assert again["version"] == first["version"]
    assert order.changes.count() == 1
    goes_on = system.patch(at(order), {"waiting_for": None}, 200, version=again["version"])
    assert (goes_on["waiting_for"], goes_on["waiting_why"]) == (None, None)
    system.patch(at(order), {"waiting_for": None}, 200, version=goes_on["version"])


def test_one_refusal_undoes_the_whole_change(system: System, order: WorkOrder) -> None:
    told = system.patch(
        at(order), {"external_number": "70-1", "urgency": "watch"}, 409, version=order.version
    )

    assert told["code"] == "urgency_needs_reason"
    order.refresh_from_db()
    assert order.external_number == ""
    assert not order.changes.exists()


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({}, None),
        ({"colour": "red"}, "colour"),
        ({"waiting_why": "parts"}, "waiting_why"),
        ({"urgency_why": "soon"}, "urgency_why"),
        ({"people": 10**30}, "people"),
        ({"people": 0}, "people"),
        ({"duration_h": 10**30}, "duration_h"),
        ({"duration_h": -1}, "duration_h"),
        ({"planned_for": "2026-12-02T06:00:00"}, "planned_for"),
        ({"planned_for": "0001-01-01T00:00:00+14:00"}, "planned_for"),
        ({"external_number": "7\x00"}, "external_number"),
        ({"title": None}, "title"),
        ({"tools": [{"a": 1}]}, "tools.0"),
    ],
)
def test_a_wrong_change_is_refused_by_field(
    system: System, order: WorkOrder, wrong: dict[str, Any], field: str | None
) -> None:
    told = system.patch(at(order), wrong, 400, version=order.version)

    assert [one["field"] for one in told["errors"]] == [field]


def test_days_that_contradict_those_that_stand_are_refused(
    system: System, order: WorkOrder
) -> None:
    WorkOrder.objects.update(due_on=date(2026, 12, 1))

    told = system.patch(at(order), {"earliest_on": "2026-12-02"}, 409, version=order.version)

    assert (told["code"], told["errors"][0]["field"]) == ("days_contradict", "earliest_on")


def test_a_change_says_which_version_it_means(system: System, order: WorkOrder) -> None:
    assert system.patch(at(order), {"title": "x"}, 428)["code"] == "precondition_required"
    system.patch(at(order), {"title": "Square the rolls"}, 200, version=order.version)

    stale = system.patch(at(order), {"title": "x"}, 412, version=order.version)

    assert stale["code"] == "order_changed_meanwhile"
    assert stale["present"]["title"] == "Square the rolls"
    headers = {"Authorization": f"Api-Key {system.secret}", "If-Match": "*"}
    told = Client().patch(at(order), {"people": 2}, "application/json", headers=headers)
    assert told.status_code == 200


def test_its_number_there_is_taken_even_when_the_order_has_ended(
    system: System, order: WorkOrder
) -> None:
    factories.bring_to(order, OrderState.PROVED)

    told = system.patch(at(order), {"external_number": "70-1"}, 200, version=order.version)
    refused = system.patch(at(order), {"title": "x"}, 409, version=told["version"])

    assert told["external_number"] == "70-1"
    assert refused["code"] == "order_is_not_open"


def test_an_order_is_led_through_its_states(system: System, order: WorkOrder) -> None:
    version = order.version
    for move in (
        {"to_state": "approved"},
        {"to_state": "scheduled", "planned_for": soon()},
        {"to_state": "in_hand"},
        {"to_state": "done", "why": "two shims"},
    ):
        told = system.post(at(order, "/moves"), move, 200, version=version)
        assert told["state"] == move["to_state"]
        version = told["version"]

    moves = system.get(at(order, "/moves"))["results"]
    assert [move["to_state"] for move in moves[:2]] == ["done", "in_hand"]
    assert {move["by"] for move in moves[:4]} == {"stores system"}
    assert moves[0]["why"] == "two shims"
    # Its case follows, as when a person moves it.
    order.case.refresh_from_db()
    assert order.case.state == "on proof"


@pytest.mark.parametrize(
    ("move", "status", "code"),
    [
        ({"to_state": "done"}, 409, "illegal_order_move"),
        ({"to_state": "cancelled"}, 409, "move_needs_reason"),
        ({"to_state": "scheduled"}, 409, "illegal_order_move"),
        ({"to_state": "flying"}, 400, "invalid"),
        ({}, 400, "invalid"),
    ],
)
def test_moves_that_cannot_be_are_refused(
    system: System, order: WorkOrder, move: dict[str, Any], status: int, code: str
) -> None:
    told = system.post(at(order, "/moves"), move, status, version=order.version)

    assert told["code"] == code
    order.refresh_from_db()
    assert order.state == "proposed"


def test_a_stale_move_is_told_how_the_order_stands(system: System, order: WorkOrder) -> None:
    assert system.post(at(order, "/moves"), {"to_state": "approved"}, 428)
    system.post(at(order, "/moves"), {"to_state": "approved"}, 200, version=order.version)

    stale = system.post(at(order, "/moves"), {"to_state": "declined"}, 412, version=order.version)

    assert stale["present"]["state"] == "approved"


def test_work_that_comes_first_is_named_and_may_be_passed_over(
    system: System, order: WorkOrder
) -> None:
    first = kin_rows.make_work(order.conveyor)
    linking.link_orders(order_id=order.pk, after_id=first.pk, by=None, now=factories.NOW)
    order = factories.bring_to(order, OrderState.APPROVED)

    refused = system.post(at(order, "/moves"), {"to_state": "in_hand"}, 409, version=order.version)
    assert refused["code"] == "earlier_work_not_done"
    told = system.post(
        at(order, "/moves"),
        {"to_state": "in_hand", "begins_early": True},
        200,
        version=order.version,
    )
    assert told["state"] == "in_hand"


def test_a_scheduled_order_is_moved_to_another_time_with_a_reason(
    system: System, order: WorkOrder
) -> None:
    order = factories.bring_to(order, OrderState.SCHEDULED)
    later = "2031-02-03T10:00:00-04:00"

    assert system.patch(at(order), {"planned_for": later}, 409, version=order.version)
    told = system.patch(
        at(order),
        {"planned_for": later, "planned_for_why": "the ship came early"},
        200,
        version=order.version,
    )

    assert told["planned_for"] == "2031-02-03T14:00:00Z"


@pytest.mark.parametrize("part", ["", "/moves", "/time", "/parts", "/notes"])
def test_orders_of_another_plant_and_none_are_not_there(system: System, part: str) -> None:
    other = factories.make_order_by_hand(register.make_conveyor(register.make_plant()))

    for number in (other.number, "LT-W-9999", "LT-W-99999999999999"):
        address = f"{LIST}/{number}{part}"
        if part:
            system.post(address, {}, 404, version=1)
        else:
            system.patch(address, {"people": 2}, 404, version=1)
    other.refresh_from_db()
    assert other.people is None


def test_decimals_are_kept_as_they_are_written(system: System, order: WorkOrder) -> None:
    system.patch(at(order), {"duration_h": "2.25"}, 200, version=order.version)

    order.refresh_from_db()
    assert order.hours == Decimal("2.25")
