"""Keys of a connected system read and write in its words, everywhere in the API."""

from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client

from diagnostics.case_states import CaseState
from plant.models import ConnectedSystem, Conveyor, Plant, WordingGap
from plant.selectors.wordings import CONSTANT, COPY, RENAMED
from plant.wording_entries import Entry, Value
from tests.plant import factories as register
from tests.plant.wording.system_rows import give, make_system, spoken_system, tag, words
from tests.workorders import factories
from workorders.models import WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db
ORDERS, FEED = "/api/v1/work-orders", "/api/v1/work-orders/changes"
COMPLAINTS = "/api/v1/complaints"


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT")


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return register.make_complete_conveyor(plant, tag="Q30")


@pytest.fixture
def order(conveyor: Conveyor) -> WorkOrder:
    return factories.make_order_by_hand(conveyor)


def secret_of(system: ConnectedSystem) -> str:
    return factories.make_key(system.plant, system=system)[1]


def ask(secret: str, address: str, **query: Any) -> Any:
    return Client().get(address, query, headers={"Authorization": f"Api-Key {secret}"})


def send(secret: str, address: str, body: Any) -> Any:
    headers = {"Authorization": f"Api-Key {secret}"}
    return Client().post(address, body, content_type="application/json", headers=headers)


def test_lists_and_one_order_are_in_the_words_of_the_system(
    plant: Plant, conveyor: Conveyor, order: WorkOrder
) -> None:
    secret = secret_of(spoken_system(plant, conveyor))

    listed = ask(secret, ORDERS).json()["results"][0]
    one = ask(secret, f"{ORDERS}/{order.number}").json()

    for told in (listed, one):
        assert told["state"] == "10-NEW"
        assert told["conveyor"]["tag"] == "LWT/Q30"
    assert one["moves"][0]["to_state"] == "10-NEW"


def test_the_feed_is_in_the_words_of_the_system(
    plant: Plant, conveyor: Conveyor, order: WorkOrder
) -> None:
    system = spoken_system(plant, conveyor)
    give(system, words("change_kind", {"added": "I"}))

    told = ask(secret_of(system), FEED).json()["results"]

    assert told[0]["kind"] == "I"
    assert told[0]["key"] == order.number
    assert told[0]["record"]["state"] == "10-NEW"
    assert told[0]["record"]["conveyor"]["tag"] == "LWT/Q30"


def test_two_systems_and_a_plain_key_are_each_told_in_their_words(
    plant: Plant, conveyor: Conveyor, order: WorkOrder
) -> None:
    other = make_system(plant, "Planning board")
    give(other, words("order_state", {"proposed": "A"}))
    asked = [secret_of(spoken_system(plant, conveyor)), secret_of(other)]
    asked.append(factories.make_key(plant)[1])

    for address in (ORDERS, FEED):
        rows = [ask(secret, address).json()["results"][0] for secret in asked]
        states = [row.get("record", row)["state"] for row in rows]
        assert states == ["10-NEW", "A", "proposed"]


def test_one_request_can_ask_for_our_words(plant: Plant, order: WorkOrder) -> None:
    secret = secret_of(spoken_system(plant))

    assert ask(secret, ORDERS, words="ours").json()["results"][0]["state"] == "proposed"
    assert ask(secret, FEED, words="ours").json()["results"][0]["record"]["state"] == "proposed"
    assert ask(secret, ORDERS, words="mine").status_code == HTTPStatus.BAD_REQUEST


def test_a_system_that_is_switched_off_is_told_in_our_words(plant: Plant, order: WorkOrder) -> None:
    secret = secret_of(spoken_system(plant, is_on=False))

    assert ask(secret, ORDERS).json()["results"][0]["state"] == "proposed"


def test_lists_are_narrowed_by_the_words_of_the_system(
    plant: Plant, conveyor: Conveyor, order: WorkOrder
) -> None:
    secret = secret_of(spoken_system(plant, conveyor))

    def found(**query: str) -> int:
        return len(ask(secret, ORDERS, **query).json()["results"])

    assert found(state="10-NEW", conveyor="LWT/Q30") == 1
    assert found(state="40-FIN") == 0
    # One of theirs for two of ours asks for both.
    factories.bring_to(order, OrderState.SCHEDULED)
    assert found(state="20-OK") == 1
    refused = ask(secret, ORDERS, state="40-FUN")
    assert refused.status_code == HTTPStatus.BAD_REQUEST
    assert refused.json()["errors"][0]["field"] == "state"
    assert "Nearest: 40-FIN" in refused.json()["detail"]


def test_addresses_take_an_asset_tag(plant: Plant, conveyor: Conveyor) -> None:
    system = make_system(plant)
    give(system, tag(conveyor, "7-Q30") | tag(conveyor, "7-C", "C"))
    secret = secret_of(system)

    rows = ask(secret, "/api/v1/conveyors/7-Q30/components").json()["results"]

    assert {row["conveyor"] for row in rows} == {"7-Q30"}
    assert "7-C" in {row["name"] for row in rows}
    assert ask(secret, "/api/v1/conveyors").json()["results"][0]["tag"] == "7-Q30"


def test_a_complaint_comes_in_in_the_words_of_the_system(plant: Plant, conveyor: Conveyor) -> None:
    system = spoken_system(plant, conveyor)
    give(system, words("how_bad", {"rubbing": "R", "off_centre": "O"}))
    give(system, {Entry(RENAMED + "complaint", None, "external_number"): Value("ref")})
    body = {"conveyor": "LWT/Q30", "words": "rubs", "how_bad": "R", "ref": "10-4471"}

    answer = send(secret_of(system), COMPLAINTS, body)

    assert answer.status_code == HTTPStatus.CREATED
    assert answer.json()["how_bad"] == "R"
    assert answer.json()["ref"] == "10-4471"
    assert answer.json()["conveyor"]["tag"] == "LWT/Q30"
    row = conveyor.complaints.get()  # type: ignore[attr-defined]
    assert (row.how_bad, row.external_number) == ("rubbing", "10-4471")


def test_a_word_that_is_none_is_refused_kept_as_a_gap_and_nothing_is_saved(
    plant: Plant, conveyor: Conveyor
) -> None:
    system = spoken_system(plant, conveyor)
    give(system, words("how_bad", {"rubbing": "R-1"}))

    answer = send(
        secret_of(system), COMPLAINTS, {"conveyor": "Q30", "words": "x", "how_bad": "R-2"}
    )

    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert answer.json()["errors"][0]["field"] == "how_bad"
    assert answer.json()["errors"][0]["code"] == "word_unknown"
    assert not conveyor.complaints.exists()  # type: ignore[attr-defined]
    gap = WordingGap.objects.get()
    assert (gap.way, gap.part, gap.word) == ("in", "how_bad", "R-2")


def test_what_has_no_word_goes_out_as_ours_and_is_noted(
    plant: Plant, conveyor: Conveyor, order: WorkOrder
) -> None:
    system = make_system(plant)
    give(system, words("order_state", {"done": "40-FIN"}))

    assert ask(secret_of(system), FEED).json()["results"][0]["record"]["state"] == "proposed"
    gap = WordingGap.objects.get()
    assert (gap.way, gap.word) == ("out", "proposed")


def test_fields_are_added_for_one_system_only(plant: Plant, order: WorkOrder) -> None:
    system = make_system(plant)
    give(system, {Entry(CONSTANT + "work_order", None, "site"): Value("0815")})

    assert ask(secret_of(system), ORDERS).json()["results"][0]["site"] == "0815"
    plain = factories.make_key(plant)[1]
    assert "site" not in ask(plain, ORDERS).json()["results"][0]


def test_a_post_sent_again_is_answered_in_the_same_words(plant: Plant, conveyor: Conveyor) -> None:
    secret = secret_of(spoken_system(plant, conveyor))
    headers = {"Authorization": f"Api-Key {secret}", "Idempotency-Key": "a1"}
    body = {"conveyor": "LWT/Q30", "words": "rubs"}

    answers = [
        Client().post(COMPLAINTS, body, content_type="application/json", headers=headers)
        for _turn in range(2)
    ]

    assert [one.status_code for one in answers] == [HTTPStatus.CREATED] * 2
    assert answers[0].json() == answers[1].json()
    assert answers[0].json()["conveyor"]["tag"] == "LWT/Q30"
    assert conveyor.complaints.count() == 1  # type: ignore[attr-defined]


@pytest.mark.parametrize("body", [[], [1], 7, "x", None, {"conveyor": {"a": 1}, "words": []}])
def test_a_body_of_another_form_is_refused_as_ever(plant: Plant, body: Any) -> None:
    answer = send(secret_of(spoken_system(plant)), COMPLAINTS, body)

    assert answer.status_code == HTTPStatus.BAD_REQUEST


def test_a_key_without_a_system_costs_no_query_more(
    plant: Plant, order: WorkOrder, django_assert_num_queries
) -> None:
    plain = factories.make_key(plant)[1]
    ask(plain, FEED)

    # The key, the feed's place and its page; keys are not held to a pace in tests.
    with django_assert_num_queries(3):
        ask(plain, FEED)


def test_fields_are_asked_for_under_their_names(plant: Plant, conveyor: Conveyor) -> None:
    factories.make_order_by_hand(conveyor)
    system = spoken_system(plant, conveyor)
    give(
        system,
        {
            Entry(CONSTANT + "work_order", None, "site"): Value("0815"),
            Entry(COPY + "work_order", None, "place"): Value("asset_tag"),
            Entry(RENAMED + "work_order", None, "state"): Value("status"),
        },
    )

    asked = ask(secret_of(system), ORDERS, fields="status,place,site").json()

    assert asked["results"] == [{"status": "10-NEW", "place": "LWT/Q30", "site": "0815"}]


def test_a_filter_is_asked_for_under_its_new_name(plant: Plant, order: WorkOrder) -> None:
    system = spoken_system(plant)
    give(system, {Entry(RENAMED + "work_order", None, "state"): Value("status")})
    secret = secret_of(system)

    assert len(ask(secret, ORDERS, status="10-NEW").json()["results"]) == 1
    assert not ask(secret, ORDERS, status="40-FIN").json()["results"]


def test_the_description_says_that_words_can_be_chosen() -> None:
    described = Client().get("/api/v1/openapi.json").json()

    for path, methods in described["paths"].items():
        for operation in methods.values():
            assert {"$ref": "#/components/parameters/Words"} in operation["parameters"], path


def test_each_item_of_many_is_read_in_the_words_of_the_system(
    plant: Plant, conveyor: Conveyor
) -> None:
    orders = [factories.make_order_by_hand(conveyor) for _turn in range(2)]
    system = spoken_system(plant, conveyor)
    give(system, words("urgency", {"watch": "D-1", "next_outage": "C-1"}))
    give(system, {Entry(RENAMED + "work_order", None, "number"): Value("ref")})
    items = [
        {"ref": order.number, "version": order.version, "urgency": word, "why": "x"}
        for order, word in zip(orders, ("D-1", "D-2"), strict=True)
    ]
    for item in items:
        item["urgency_why"] = item.pop("why")

    answer = send(secret_of(system), f"{ORDERS}/bulk", {"items": items}).json()

    done, refused = answer["results"]
    assert (done["status"], done["record"]["urgency"]) == (HTTPStatus.OK, "D-1")
    assert done["record"]["ref"] == orders[0].number
    assert refused["status"] == HTTPStatus.BAD_REQUEST
    assert refused["problem"]["errors"][0]["code"] == "word_unknown"
    assert WorkOrder.objects.get(pk=orders[0].pk).urgency == "watch"


def test_an_order_is_moved_by_the_words_of_the_system(plant: Plant, order: WorkOrder) -> None:
    secret = secret_of(spoken_system(plant))
    headers = {"Authorization": f"Api-Key {secret}", "If-Match": f'"{order.version}"'}
    address = f"{ORDERS}/{order.number}/moves"

    def move(word: str) -> Any:
        body = {"to_state": word}
        return Client().post(address, body, content_type="application/json", headers=headers)

    moved = move("20-OK")
    stale = move("91-OFF")

    assert moved.json()["state"] == "20-OK"
    assert WorkOrder.objects.get(pk=order.pk).state == "approved"
    assert stale.status_code == HTTPStatus.PRECONDITION_FAILED
    assert stale.json()["present"]["state"] == "20-OK"


def test_a_case_and_its_suspicions_each_have_their_own_states() -> None:
    case = factories.make_accepted_cause().case
    system = make_system(case.conveyor.plant, is_strict=True)
    states = [one.value.replace(" ", "_") for one in CaseState]
    give(system, words("case_state", {state: f"S-{state}" for state in states}))

    told = ask(secret_of(system), f"/api/v1/cases/{case.number}").json()

    assert told["state"] == "S-cause_found"
    assert told["hypotheses"][0]["state"] == "accepted"


def test_a_change_is_answered_with_its_etag_whatever_a_version_is_called(
    plant: Plant, order: WorkOrder
) -> None:
    system = make_system(plant)
    give(system, {Entry(f"{RENAMED}work_order", None, "version"): Value("rev")})
    address, sent = f"{ORDERS}/{order.number}", {"external_number": "70-1"}
    headers = {"Authorization": f"Api-Key {secret_of(system)}", "If-Match": "*"}

    changed = Client().patch(address, sent, content_type="application/json", headers=headers)

    assert changed.headers["ETag"].startswith(f'"{changed.json()["rev"]}-')


def test_the_history_of_a_conveyor_is_found_by_the_tag_of_the_system(
    plant: Plant, conveyor: Conveyor
) -> None:
    system = make_system(plant)
    give(system, tag(conveyor, "77-100"))
    secret = secret_of(system)

    addresses = [f"/api/v1/conveyors/{one}/history" for one in ("77-100", "Q30", "77-101")]

    assert [ask(secret, one).status_code for one in addresses] == [200, 200, 404]
