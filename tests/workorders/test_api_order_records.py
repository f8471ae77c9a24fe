"""Time, parts and notes that another system adds to an order."""

from datetime import UTC, datetime, time, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from plant.models import Plant
from plant.roles import Role
from tests.asking_api import System, system_of
from tests.plant import factories as register
from tests.workorders import factories, part_rows, sheet_rows
from tests.workorders.pages import client_of
from workorders.models import OrderNote, OrderPart, Part, TimeBooking, WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


@pytest.fixture
def system(plant: Plant) -> System:
    return system_of(plant)


@pytest.fixture
def in_hand(order: WorkOrder) -> WorkOrder:
    return factories.bring_to(order, OrderState.IN_HAND)


def at(order: WorkOrder, part: str) -> str:
    return f"/api/v1/work-orders/{order.number}/{part}"


def today(plant: Plant) -> str:
    return timezone.localdate(timezone=plant.zone_info).isoformat()


def spent(order: WorkOrder, **changed: Any) -> dict[str, Any]:
    day = today(order.conveyor.plant)
    return {"worker": "Jo Tarr", "day": day, "hours": 1.5, **changed}


def test_time_of_somebody_with_an_account_is_theirs(
    system: System, in_hand: WorkOrder, plant: Plant
) -> None:
    hand = factories.make_person(Role.TECHNICIAN, plant)
    crew = sheet_rows.make_crew(plant)
    body = spent(in_hand, worker=hand.username.upper(), crew=crew.name.upper(), step=1)

    told = system.post(at(in_hand, "time"), body, 201)

    row = TimeBooking.objects.get()
    assert (row.worker, row.crew, row.step.place) == (hand, crew, 1)
    assert (told["worker"], told["hours"], told["step"]) == (str(hand), 1.5, 1)
    assert told["booked_by"] == "stores system"
    assert system.get(at(in_hand, "time"))["results"] == [told]
    assert system.get(at(in_hand, f"time/{told['id']}")) == told
    page = client_of(Role.PLANNER, plant).get(f"/work/{in_hand.number}/time/").content.decode()
    assert "booked by stores system" in page


def test_time_from_when_to_when_is_by_the_plants_clock(system: System, in_hand: WorkOrder) -> None:
    zone = in_hand.conveyor.plant.zone_info
    day = timezone.localdate(timezone=zone) - timedelta(days=2)
    body = spent(in_hand, day=day.isoformat(), begins="19:00", ends="22:30", hours=None)

    told = system.post(at(in_hand, "time"), body, 201)

    began = datetime.combine(day, time(19), zone).astimezone(UTC)
    assert datetime.fromisoformat(told["begins_at"]) == began
    assert datetime.fromisoformat(told["ends_at"]) == began + timedelta(hours=3.5)
    assert told["hours"] == 3.5


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"worker": ""}, "worker"),
        ({"worker": "nobody@larkwater.example"}, "worker"),
        ({"worker": "J\x00"}, "worker"),
        ({"hours": 0}, "hours"),
        ({"hours": 25}, "hours"),
        ({"hours": 10**40}, "hours"),
        ({"hours": None}, "hours"),
        ({"hours": None, "begins": "07:00"}, "ends"),
        ({"begins": "07:00", "ends": "09:00"}, "hours"),
        ({"begins": "soon", "ends": "09:00", "hours": None}, "begins"),
        ({"day": "0001-01-01"}, "day"),
        ({"crew": "Night owls"}, "crew"),
        ({"step": 99}, "step"),
        ({"step": 10**30}, "step"),
        ({"note": "n" * 401}, "note"),
    ],
)
def test_wrong_time_is_refused_by_field(
    system: System, in_hand: WorkOrder, wrong: dict[str, Any], field: str
) -> None:
    told = system.post(at(in_hand, "time"), spent(in_hand, **wrong), 400)

    assert [one["field"] for one in told["errors"]] == [field]
    assert not TimeBooking.objects.exists()


def test_what_the_service_says_of_time_names_the_field(system: System, in_hand: WorkOrder) -> None:
    told = system.post(at(in_hand, "time"), spent(in_hand, day="2199-01-01"), 409)

    assert (told["code"], told["errors"][0]["field"]) == ("time_refused", "day")


def test_nothing_is_booked_before_work_is_in_hand(system: System, order: WorkOrder) -> None:
    told = system.post(at(order, "time"), spent(order), 409)

    assert told["code"] == "no_time_is_booked_yet"


def test_a_person_of_another_plant_is_not_known(system: System, in_hand: WorkOrder) -> None:
    stranger = factories.make_person(Role.TECHNICIAN, register.make_plant())

    told = system.post(at(in_hand, "time"), spent(in_hand, worker=stranger.username), 400)

    assert told["errors"][0]["code"] == "unknown_person"


def test_booked_time_is_withdrawn_and_counts_again(system: System, in_hand: WorkOrder) -> None:
    kept = system.post(at(in_hand, "time"), spent(in_hand), 201)
    one = at(in_hand, f"time/{kept['id']}")

    assert system.patch(one, {"withdrawn": True}, 428)
    system.get(one.replace(str(kept["id"]), "999999999"), 404)
    gone = system.patch(one, {"withdrawn": True}, 200, version=kept["version"])
    stale = system.patch(one, {"withdrawn": False}, 412, version=kept["version"])
    back = system.patch(one, {"withdrawn": False}, 200, version=gone["version"])

    assert gone["withdrawn_at"] is not None
    assert stale["present"]["withdrawn_at"] == gone["withdrawn_at"]
    assert back["withdrawn_at"] is None
    assert {change.who for change in in_hand.changes.all()} == {"stores system"}


def test_time_of_another_order_is_not_under_this_one(system: System, in_hand: WorkOrder) -> None:
    kept = system.post(at(in_hand, "time"), spent(in_hand), 201)
    other = factories.make_order_by_hand(in_hand.conveyor)

    system.get(at(other, f"time/{kept['id']}"), 404)
    system.patch(at(other, f"time/{kept['id']}"), {"withdrawn": True}, 404, version=1)


@pytest.fixture
def part(plant: Plant) -> Part:
    return part_rows.make_part(plant, "5", number="RB-127")


def test_parts_leave_the_store_and_come_back(
    system: System, in_hand: WorkOrder, part: Part, plant: Plant
) -> None:
    told = system.post(at(in_hand, "parts"), {"part": "rb-127", "used": 2}, 200)
    assert (told["used"], told["needed"], told["on_hand"]) == (2.0, 0.0, 3.0)

    more = system.post(at(in_hand, "parts"), {"part": "RB-127", "used": 1}, 200)
    back = system.post(at(in_hand, "parts"), {"part": "RB-127", "put_back": 2}, 200)

    assert (more["used"], back["used"], back["on_hand"]) == (3.0, 1.0, 4.0)
    assert system.get(at(in_hand, "parts"))["results"] == [back]
    part.refresh_from_db()
    assert part.on_hand == Decimal(4)
    page = client_of(Role.PLANNER, plant).get(f"/work/parts/{part.pk}/").content.decode()
    assert page.count("stores system") == 3


def test_a_part_that_was_reserved_is_used_from_its_line(
    system: System, in_hand: WorkOrder, part: Part
) -> None:
    part_rows.need(in_hand, part, "4")

    told = system.post(at(in_hand, "parts"), {"part": "RB-127", "used": "4"}, 200)

    assert (told["needed"], told["used"]) == (4.0, 4.0)
    assert OrderPart.objects.count() == 1


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ({"part": "RB-127", "used": 6}, 409, "not_so_many_parts_here"),
        ({"part": "RB-127", "put_back": 1}, 409, "not_so_many_parts_used"),
        ({"part": "RB-127", "used": 0.5}, 409, "part_counted_in_whole"),
        ({"part": "RB-127", "used": 10**9}, 400, "invalid"),
        ({"part": "RB-127", "used": -1}, 400, "invalid"),
        ({"part": "RB-127"}, 400, "invalid"),
        ({"part": "RB-127", "used": 1, "put_back": 1}, 400, "invalid"),
        ({"part": "none", "used": 1}, 400, "invalid"),
        ({"part": "\x00", "used": 1}, 400, "invalid"),
        ({"used": 1}, 400, "invalid"),
    ],
)
def test_parts_that_cannot_be_booked_are_refused(
    system: System, in_hand: WorkOrder, part: Part, body: Any, status: int, code: str
) -> None:
    assert system.post(at(in_hand, "parts"), body, status)["code"] == code
    part.refresh_from_db()
    assert part.on_hand == 5
    assert not OrderPart.objects.exists()


def test_parts_of_another_plant_are_not_known(system: System, in_hand: WorkOrder) -> None:
    part_rows.make_part(register.make_plant(), "5", number="XX-1")

    told = system.post(at(in_hand, "parts"), {"part": "XX-1", "used": 1}, 400)

    assert told["errors"][0]["code"] == "unknown_part"


def test_a_note_says_which_system_wrote_it(system: System, order: WorkOrder, plant: Plant) -> None:
    told = system.post(at(order, "notes"), {"words": "Two shims used at R86."}, 201)

    assert (told["words"], told["by"]) == ("Two shims used at R86.", "stores system")
    assert system.get(at(order, "notes"))["results"] == [told]
    page = client_of(Role.PLANNER, plant).get(f"/work/{order.number}/").content.decode()
    assert "Two shims used at R86." in page
    assert "stores system" in page


@pytest.mark.parametrize("words", [" ", "", None, "n" * 2001, "half \x00", 7 * [1]])
def test_a_note_that_says_nothing_is_refused(system: System, order: WorkOrder, words: Any) -> None:
    told = system.post(at(order, "notes"), {"words": words}, 400)

    assert told["errors"][0]["field"] == "words"
    assert not OrderNote.objects.exists()


@pytest.mark.parametrize("part", ["time", "parts", "notes"])
def test_lists_hold_a_fixed_number_of_queries(
    system: System, in_hand: WorkOrder, part: str, django_assert_max_num_queries: Any
) -> None:
    for number in range(6):
        stocked = part_rows.make_part(in_hand.conveyor.plant, "5")
        system.post(at(in_hand, "notes"), {"words": f"note {number}"}, 201)
        system.post(at(in_hand, "time"), spent(in_hand, worker=f"Jo {number}"), 201)
        system.post(at(in_hand, "parts"), {"part": stocked.number, "used": 1}, 200)

    with django_assert_max_num_queries(8):
        assert len(system.get(at(in_hand, part))["results"]) == 6
