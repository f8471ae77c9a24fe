"""A strict system is told nothing that has no word of its own, and what is done is done."""

from http import HTTPStatus

import pytest
from django.test import Client

from plant.models import Conveyor, Plant, WordingGap
from tests.plant import factories as register
from tests.plant.wording.system_rows import give, make_system, tag, words
from tests.workorders import factories
from tests.workorders.test_api_words import ask, secret_of, send
from workorders.models import WorkOrder

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


def test_a_strict_system_is_told_nothing_it_has_no_word_for(
    plant: Plant, conveyor: Conveyor, order: WorkOrder
) -> None:
    system = make_system(plant, is_strict=True)
    give(system, words("order_state", {"done": "40-FIN"}))

    for address in (ORDERS, FEED, f"{ORDERS}/{order.number}"):
        answer = ask(secret_of(system), address)
        assert answer.status_code == HTTPStatus.CONFLICT
        assert answer.json()["code"] == "word_missing"
        assert "proposed" in answer.json()["detail"]


def test_a_strict_feed_holds_at_the_change_without_a_word_and_goes_on_later(
    plant: Plant, conveyor: Conveyor
) -> None:
    system = make_system(plant, is_strict=True)
    give(system, words("urgency", {}) | words("order_state", {"proposed": "10-NEW"}))
    first = factories.make_order_by_hand(conveyor)
    WorkOrder.objects.filter(pk=first.pk).update(external_number="1")
    secret = secret_of(system)
    begun = ask(secret, FEED).json()
    second = factories.make_order_by_hand(conveyor)
    third = factories.make_order_by_hand(conveyor)
    WorkOrder.objects.filter(pk=third.pk).update(state="approved")

    page = ask(secret, FEED, after=begun["next"]).json()
    held = ask(secret, FEED, after=page["next"])
    give(system, words("order_state", {"approved": "20-OK"}))
    later = ask(secret, FEED, after=page["next"]).json()

    assert [one["key"] for one in page["results"]] == [second.number]
    assert page["more"] is True
    assert held.status_code == HTTPStatus.CONFLICT
    assert [one["key"] for one in later["results"]] == [third.number]


def test_a_write_that_was_done_is_answered_whatever_a_strict_system_lacks(
    plant: Plant, conveyor: Conveyor
) -> None:
    system = make_system(plant, is_strict=True)
    give(system, words("case_state", {"closed": "Z"}) | tag(conveyor, "LWT/Q30"))

    answer = send(secret_of(system), COMPLAINTS, {"conveyor": "LWT/Q30", "words": "rubs"})

    assert answer.status_code == HTTPStatus.CREATED
    assert answer.json()["case"]["state"] == "open"
    assert WordingGap.objects.get().word == "open"


def test_what_a_strict_system_could_not_be_told_is_kept_as_a_gap(
    plant: Plant, conveyor: Conveyor, order: WorkOrder
) -> None:
    system = make_system(plant, is_strict=True)
    give(system, words("order_state", {"approved": "20-OK"}))

    refused = ask(secret_of(system), ORDERS)

    assert refused.json()["code"] == "word_missing"
    gap = WordingGap.objects.get(system=system)
    assert (gap.part, gap.word, gap.way) == ("order_state", "proposed", WordingGap.Way.OUT)


def test_how_a_row_stands_is_left_out_where_a_strict_system_has_no_word_for_it(
    plant: Plant, order: WorkOrder
) -> None:
    system = make_system(plant, is_strict=True)
    give(system, words("order_state", {"approved": "20-OK"}))
    headers = {"Authorization": f"Api-Key {secret_of(system)}", "If-Match": '"99"'}
    address, sent = f"{ORDERS}/{order.number}", {"external_number": "70-1"}

    stale = Client().patch(address, sent, content_type="application/json", headers=headers)

    assert stale.status_code == HTTPStatus.PRECONDITION_FAILED
    assert "present" not in stale.json()
