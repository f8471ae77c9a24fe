"""What other systems send: a field nobody knows is refused, nothing sent breaks the service."""

import json
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client

from diagnostics.models import Case, Finding
from plant.config.wsgi import application
from plant.models import ConditionReading, Plant
from plant.selectors.wordings import RENAMED
from plant.wording_entries import Entry, Value
from tests.api_world import every_endpoint
from tests.asking_api import System, system_of
from tests.plant import factories as register
from tests.plant.wording.system_rows import give, make_system, spoken_system, words
from tests.workorders import factories, part_rows
from tests.world import make_world
from workorders.models import OrderNote, WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db
ORDERS = "/api/v1/work-orders"
BULK = f"{ORDERS}/bulk"
COMPLAINTS = "/api/v1/complaints"


@pytest.fixture
def system(plant: Plant) -> System:
    return system_of(plant)


def connected(plant: Plant, system: Any) -> System:
    return System(factories.make_key(plant, system=system)[1])


def test_no_body_of_the_api_takes_a_field_it_does_not_know() -> None:
    world = make_world()
    secret = system_of(world.plant).secret
    with_body = [one for one in every_endpoint() if one.method in {"POST", "PATCH", "PUT"}]
    headers = {"Authorization": f"Api-Key {secret}", "If-Match": "*"}

    taken = []
    for endpoint in with_body:
        body = {**endpoint.body(world), "extrernal_nummer": "70-1"}
        asked = getattr(Client(), endpoint.method.lower())
        told = asked(endpoint.address(world), body, "application/json", headers=headers)
        errors = told.json().get("errors", [])
        if [(one["field"], one["code"]) for one in errors] != [
            ("extrernal_nummer", "unknown_field")
        ]:
            taken.append(str(endpoint))

    assert len(with_body) > 15
    assert taken == []


def test_a_misspelt_field_is_told_the_nearest_also_inside(system: System, order: WorkOrder) -> None:
    one = {"number": order.number, "version": order.version}

    alone = system.patch(f"{ORDERS}/{order.number}", {"externl_number": "7"}, 400, order.version)
    move = system.post(BULK, {"items": [{**one, "move": {"to_stat": "approved"}}]}, 200)

    assert "Nearest: external_number." in alone["detail"]
    (problem,) = [result["problem"] for result in move["results"]]
    assert problem["errors"][0]["field"] == "move.to_stat"
    assert "Nearest: to_state." in problem["detail"]


def test_an_empty_form_says_nothing_instead_of_false(system: System, plant: Plant) -> None:
    case: Case = factories.make_case(register.make_complete_conveyor(plant))
    sent = {"cause": "belt_camber", "is_present": False}
    kept = system.post(f"/api/v1/cases/{case.number}/findings", sent, 201)
    one = f"/api/v1/cases/{case.number}/findings/{kept['id']}"
    assert system.patch(one, {"withdrawn": True}, 200, kept["version"])["withdrawn_at"]
    headers = {
        "Authorization": f"Api-Key {system.secret}",
        "If-Match": "*",
        "Content-Type": "application/x-www-form-urlencoded",
        "Content-Length": "0",
    }

    told = Client().patch(one, headers=headers)

    assert told.status_code == HTTPStatus.BAD_REQUEST
    assert Finding.objects.get().taken_back_at is not None


@pytest.mark.parametrize("levels", [33, 150, 400, 100_000])
def test_a_bottomless_body_is_refused_also_from_a_connected_system(
    plant: Plant, order: WorkOrder, levels: int
) -> None:
    system = connected(plant, spoken_system(plant, order.conveyor))
    deep = '{"title": ' + "[" * levels + "]" * levels + "}"
    headers = {"Authorization": f"Api-Key {system.secret}"}

    told = Client().post(ORDERS, deep, "application/json", headers=headers)

    assert told.status_code == HTTPStatus.BAD_REQUEST
    assert "nested too deeply" in told.json()["detail"]


@pytest.mark.parametrize("digits", [400, 5000])
def test_a_number_no_machine_holds_is_refused_by_field(
    system: System, order: WorkOrder, digits: int
) -> None:
    tag = order.conveyor.tag
    address = f"/api/v1/conveyors/{tag}/condition-readings"
    sent = {"quantity": "carry_cover_thickness", "taken_at": "2026-03-01T00:00:00Z", "value": 0}
    text = json.dumps(sent).replace('"value": 0', f'"value": {"9" * digits}')
    headers = {"Authorization": f"Api-Key {system.secret}"}

    told = Client().post(address, text, "application/json", headers=headers)

    assert told.status_code == HTTPStatus.BAD_REQUEST
    assert [one["field"] for one in told.json()["errors"]] == ["value"]
    assert not ConditionReading.objects.exists()


@pytest.mark.parametrize("charset", ["utf-7", "idna", "nonsense"])
def test_a_charset_that_is_none_breaks_nothing(
    system: System, order: WorkOrder, charset: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # As the site reads requests; the framework's client has a reader of its own.
    monkeypatch.setattr("django.test.client.WSGIRequest", application.request_class)
    told = Client().generic(
        "POST",
        f"{ORDERS}/{order.number}/notes?words=ours",
        json.dumps({"words": "Two shims used."}),
        f"application/json; charset={charset}",
        headers={"Authorization": f"Api-Key {system.secret}"},
    )

    # JSON is UTF-8, whatever else is said of it (RFC 8259, section 8.1).
    assert told.status_code == HTTPStatus.CREATED


def test_spaces_around_a_number_do_not_hide_how_the_order_stands(
    system: System, order: WorkOrder
) -> None:
    other = factories.make_order_by_hand(order.conveyor)
    stale = {"number": f" {order.number} ", "version": 99, "external_number": "7"}
    good = {"number": other.number, "version": other.version, "external_number": "8"}

    told = system.post(BULK, {"items": [stale, good]}, 200)["results"]

    assert [one["status"] for one in told] == [412, 200]
    assert told[0]["problem"]["present"]["version"] == order.version


def test_a_part_or_place_that_is_refused_is_named_as_it_was_sent(
    system: System, plant: Plant, order: WorkOrder
) -> None:
    in_hand = factories.bring_to(order, OrderState.IN_HAND)
    part = part_rows.make_part(plant, "1")
    address = f"{ORDERS}/{in_hand.number}/parts"
    raised = {"conveyor": order.conveyor.tag, "title": "Renew it", "loop_position_m": 99_000}

    used = system.post(address, {"part": part.number, "used": 2}, 409)
    system.post(address, {"part": part.number, "used": 1}, 200)
    back = system.post(address, {"part": part.number, "put_back": 2}, 409)
    place = system.post(ORDERS, raised, 409)

    fields = [one["errors"][0]["field"] for one in (used, back, place)]
    assert fields == ["used", "put_back", "loop_position_m"]


def test_a_post_sent_again_is_answered_though_its_word_means_something_else_now(
    plant: Plant, order: WorkOrder
) -> None:
    spoken = make_system(plant)
    give(spoken, words("urgency", {"this_shift": "B", "next_outage": "C"}))
    secret = connected(plant, spoken).secret
    sent = {
        "conveyor": order.conveyor.tag,
        "title": "Renew the skirt rubber",
        "urgency": "B",
        "urgency_why": "the store asks for it",
    }
    headers = {"Authorization": f"Api-Key {secret}", "Idempotency-Key": "one"}

    def send() -> Any:
        return Client().post(ORDERS, sent, "application/json", headers=headers)

    first = send()
    give(spoken, {**words("urgency", {"this_shift": "A", "next_outage": "B"})})
    second = send()
    give(spoken, {**words("urgency", {"next_outage": "D"})})
    third = send()

    assert first.status_code == HTTPStatus.CREATED, first.content
    assert [one.status_code for one in (second, third)] == [201, 201], third.content
    assert second.content == third.content == first.content


def test_complaints_are_narrowed_by_states_in_the_words_of_the_system(plant: Plant) -> None:
    spoken = make_system(plant)
    give(spoken, words("case_state", {"open": "NEU", "cancelled": "WEG"}))
    factories.make_case(register.make_conveyor(plant))
    system = connected(plant, spoken)

    open_ones = system.get(COMPLAINTS, state="NEU")["results"]
    cancelled = system.get(COMPLAINTS, state="WEG")["results"]

    assert [one["case"]["state"] for one in open_ones] == ["NEU"]
    assert cancelled == []


def test_a_note_is_taken_though_a_field_of_orders_is_called_words_there(
    plant: Plant, order: WorkOrder
) -> None:
    spoken = make_system(plant)
    give(spoken, {Entry(f"{RENAMED}work_order", None, "title"): Value("words")})
    address = f"{ORDERS}/{order.number}/notes"

    connected(plant, spoken).post(address, {"words": "Two shims used."}, 201)

    assert [one.words for one in OrderNote.objects.all()] == ["Two shims used."]
