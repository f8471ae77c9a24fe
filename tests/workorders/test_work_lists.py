"""Where orders are listed: the work page, Today, conveyor and case."""

from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from plant.models import Plant
from plant.roles import Role
from tests.workorders import factories
from tests.workorders.pages import address, client_of
from workorders.models import WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


def test_an_empty_list_says_what_to_do_first(planner: Client) -> None:
    assert "An order is proposed when" in planner.get(reverse("work")).content.decode()


def test_a_filter_that_lets_nothing_through_says_so(planner: Client, order: WorkOrder) -> None:
    text = planner.get(reverse("work"), {"conveyor": "nowhere"}).content.decode()

    assert order.number not in text
    assert "No order fits these filters" in text


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({}, True),
        ({"state": "proposed"}, True),
        ({"state": "in_hand"}, False),
        ({"state": "all"}, True),
        ({"urgency": "next_outage"}, True),
        ({"urgency": "watch"}, False),
        ({"waiting": "on"}, False),
        ({"state": "nonsense", "urgency": "nonsense"}, True),
        ({"page": "nonsense"}, True),
        ({"conveyor": "\x00"}, True),
    ],
)
def test_the_list_is_filtered_by_its_address(
    planner: Client, order: WorkOrder, query: dict[str, str], found: bool
) -> None:
    response = planner.get(reverse("work"), query)

    assert response.status_code == HTTPStatus.OK
    assert (order.number in response.content.decode()) is found


def test_done_work_is_still_to_do_until_its_proof_run(lead: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.DONE)
    assert order.number in lead.get(reverse("work")).content.decode()
    assert order.number in lead.get(reverse("work"), {"state": "to_prove"}).content.decode()
    posted = {
        "outcome": "failed",
        "cautions_read": "on",
        "revolutions_empty": 1,
        "revolutions_loaded": 0,
        "note": "off again at R9",
        "version": order.version,
    }

    lead.post(address("order-proof", order), posted)

    for query in ({}, {"state": "to_prove"}):
        assert order not in lead.get(reverse("work"), query).context["page"].object_list
    assert "proof run failed" in lead.get(reverse("work"), {"state": "done"}).content.decode()
    page = lead.get(address("order", order))
    assert "proof run failed; the case goes on" in page.content.decode()
    assert not page.context["may"]["prove"]


def test_the_list_finds_a_belt_by_its_tag_in_any_case(planner: Client, order: WorkOrder) -> None:
    text = planner.get(reverse("work"), {"conveyor": order.conveyor.tag.lower()}).content.decode()

    assert order.number in text


def test_the_most_urgent_stand_first(planner: Client, order: WorkOrder) -> None:
    other = factories.make_order_by_hand(order.conveyor)
    WorkOrder.objects.filter(pk=order.pk).update(urgency="stop_now")
    WorkOrder.objects.filter(pk=other.pk).update(urgency="watch")

    page = planner.get(reverse("work")).context["page"]

    assert [one.pk for one in page] == [order.pk, other.pk]


def test_the_list_takes_the_same_few_queries_however_long_it_is(
    planner: Client, order: WorkOrder, django_assert_max_num_queries
) -> None:
    for _turn in range(30):
        factories.make_order_by_hand(order.conveyor)

    with django_assert_max_num_queries(14):
        page = planner.get(reverse("work")).context["page"]

    assert len(page.object_list) == 25
    assert page.paginator.num_pages == 2


_PLAN = {Role.PLANNER, Role.LEAD, Role.ADMINISTRATOR}


_DO = {Role.TECHNICIAN, Role.PLANNER, Role.LEAD, Role.ADMINISTRATOR}


_PROVE = {Role.TECHNICIAN, Role.LEAD, Role.ADMINISTRATOR}


@pytest.mark.parametrize("role", Role)
def test_today_shows_each_role_its_work(plant: Plant, order: WorkOrder, role: Role) -> None:
    scheduled = factories.bring_to(
        factories.make_order_by_hand(order.conveyor), OrderState.SCHEDULED
    )
    done = factories.bring_to(factories.make_order_by_hand(order.conveyor), OrderState.DONE)

    text = client_of(role, plant).get(reverse("today")).content.decode()

    plans, does = role in _PLAN, role in _DO
    assert (order.number in text) is plans
    assert (scheduled.number in text) is does
    assert (done.number in text) is (role in _PROVE)


def test_the_conveyor_page_shows_its_open_work(planner: Client, order: WorkOrder) -> None:
    conveyor = order.conveyor

    text = planner.get(reverse("conveyor", args=[conveyor.plant.code, conveyor.tag])).content

    assert order.number in text.decode()


def test_the_case_page_shows_its_work_and_offers_to_raise_it_again(
    planner: Client, order: WorkOrder
) -> None:
    factories.bring_to(order, OrderState.CANCELLED)

    text = planner.get(reverse("case", args=[order.case.number])).content.decode()

    assert order.number in text
    assert reverse("order-raise-again", args=[order.hypothesis_id]) in text
