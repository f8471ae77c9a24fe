"""Pages of work: for each role, for strangers, with refusals that keep what was typed."""

from datetime import timedelta
from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import Plant
from plant.roles import Role
from tests.plant import factories as register
from tests.plant.factories import signed_in
from tests.workorders import factories
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.services import moving

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT", time_zone="America/Halifax")


@pytest.fixture
def order(plant: Plant) -> WorkOrder:
    conveyor = register.make_complete_conveyor(plant)
    return factories.make_order(factories.make_accepted_cause(factories.make_case(conveyor)))


def client_of(role: Role, *plants: Plant) -> Client:
    return signed_in(register.make_person(role, plants=list(plants)))


@pytest.fixture
def planner(plant: Plant) -> Client:
    return client_of(Role.PLANNER, plant)


@pytest.fixture
def technician(plant: Plant) -> Client:
    return client_of(Role.TECHNICIAN, plant)


@pytest.fixture
def lead(plant: Plant) -> Client:
    return client_of(Role.LEAD, plant)


def address(name: str, order: WorkOrder, *more: object) -> str:
    return reverse(name, args=[order.number, *more])


PAGES = [
    "order",
    "order-waiting",
    "order-urgency",
    "order-planned-for",
    "order-edit",
    "order-proof",
]
POSTS = ["order-move", "order-goes-on", "order-note", *PAGES[1:]]


@pytest.mark.parametrize("name", PAGES)
def test_a_stranger_is_sent_to_sign_in(order: WorkOrder, name: str) -> None:
    response = Client().get(address(name, order))

    assert response.status_code == HTTPStatus.FOUND
    assert response["Location"].startswith(reverse("sign-in"))


@pytest.mark.parametrize("name", PAGES)
def test_an_order_of_another_plant_is_not_there(order: WorkOrder, name: str) -> None:
    elsewhere = client_of(Role.ADMINISTRATOR, register.make_plant())

    assert elsewhere.get(address(name, order)).status_code == HTTPStatus.NOT_FOUND


@pytest.mark.parametrize("name", POSTS)
def test_an_order_of_another_plant_takes_no_change(order: WorkOrder, name: str) -> None:
    elsewhere = client_of(Role.ADMINISTRATOR, register.make_plant())
    posted = {"to_state": "approved", "version": order.version, "words": "x"}

    assert elsewhere.post(address(name, order), posted).status_code == HTTPStatus.NOT_FOUND


@pytest.mark.parametrize("role", Role)
def test_every_role_reads_list_and_order(plant: Plant, order: WorkOrder, role: Role) -> None:
    client = client_of(role, plant)

    assert order.number in client.get(reverse("work")).content.decode()
    page = client.get(address("order", order))
    assert page.status_code == HTTPStatus.OK
    assert order.cautions[0] in page.content.decode().replace("&#x27;", "'")


def test_cautions_come_before_everything_else_on_the_order(
    technician: Client, order: WorkOrder
) -> None:
    text = technician.get(address("order", order)).content.decode()

    assert 0 < text.index('class="caution"') < text.index('class="facts"')


@pytest.mark.parametrize(
    ("role", "state", "moves"),
    [
        (Role.CLERK, "proposed", set()),
        (Role.TECHNICIAN, "proposed", set()),
        (Role.PLANNER, "proposed", {"approved", "declined", "cancelled"}),
        (Role.TECHNICIAN, "approved", {"in_hand"}),
        (Role.PLANNER, "approved", {"scheduled", "in_hand", "proposed", "cancelled"}),
        (Role.TECHNICIAN, "in_hand", {"done"}),
        (Role.LEAD, "done", {"in_hand"}),
        (Role.LEAD, "proved", set()),
    ],
)
def test_exactly_the_moves_a_person_may_make_are_offered(
    plant: Plant, order: WorkOrder, role: Role, state: str, moves: set[str]
) -> None:
    factories.bring_to(order, OrderState(state))

    page = client_of(role, plant).get(address("order", order))

    assert {move["to_state"] for move in page.context["moves"]} == moves


def test_a_planner_approves_with_one_press(planner: Client, order: WorkOrder) -> None:
    posted = {"to_state": "approved", "version": order.version}

    response = planner.post(address("order-move", order), posted)

    assert response["Location"] == address("order", order)
    order.refresh_from_db()
    assert order.state == OrderState.APPROVED
    assert order.moves.last().by.groups.get().name == Role.PLANNER


@pytest.mark.parametrize(
    ("role", "to_state"), [(Role.TECHNICIAN, "approved"), (Role.CLERK, "cancelled")]
)
def test_a_move_that_is_not_ones_duty_is_refused(
    plant: Plant, order: WorkOrder, role: Role, to_state: str
) -> None:
    posted = {"to_state": to_state, "version": order.version, "why": "because"}

    response = client_of(role, plant).post(address("order-move", order), posted)

    assert response.status_code == HTTPStatus.FORBIDDEN
    order.refresh_from_db()
    assert order.state == OrderState.PROPOSED


@pytest.mark.parametrize("to_state", ["", "mended", "proposed;drop"])
def test_an_unknown_state_is_not_there(planner: Client, order: WorkOrder, to_state: str) -> None:
    response = planner.post(address("order-move", order), {"to_state": to_state})

    assert response.status_code == HTTPStatus.NOT_FOUND


def test_declining_asks_for_the_reason_first(planner: Client, order: WorkOrder) -> None:
    asked = planner.get(address("order-move", order), {"to_state": "declined"})
    refused = planner.post(
        address("order-move", order), {"to_state": "declined", "version": order.version}
    )

    assert 'name="why"' in asked.content.decode()
    assert refused.status_code == HTTPStatus.BAD_REQUEST
    order.refresh_from_db()
    assert order.state == OrderState.PROPOSED


def test_the_slower_planner_sees_the_present_state_and_keeps_what_was_typed(
    planner: Client, order: WorkOrder
) -> None:
    moving.move_order(order_id=order.pk, to_state=OrderState.APPROVED, by=None, now=timezone.now())
    posted = {"to_state": "cancelled", "version": order.version, "why": "no rolls in the store"}

    response = planner.post(address("order-move", order), posted)

    text = response.content.decode()
    assert response.status_code == HTTPStatus.CONFLICT
    assert "it is approved now" in text
    assert "no rolls in the store" in text
    assert f'name="version" value="{order.version + 1}"' in text


def test_a_slower_move_that_became_impossible_leads_back_to_the_order(
    planner: Client, order: WorkOrder
) -> None:
    posted = {"to_state": "approved", "version": order.version}
    planner.post(address("order-move", order), posted)

    response = planner.post(address("order-move", order), posted)

    assert response.status_code == HTTPStatus.CONFLICT
    assert "See the order as it is now" in response.content.decode()


def test_times_are_typed_and_shown_in_the_plants_zone(planner: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.APPROVED)
    posted = {
        "to_state": "scheduled",
        "version": order.version,
        "planned_for": "2031-07-01T08:00",
    }

    planner.post(address("order-move", order), posted)

    order.refresh_from_db()
    assert order.planned_for.isoformat() == "2031-07-01T11:00:00+00:00"
    shown = planner.get(address("order", order)).content.decode().replace("\u00a0", " ")
    assert "2031-07-01 08:00 ADT" in shown


@pytest.mark.parametrize("typed", ["", "soon", "2031-13-01T08:00", "1999-01-01T08:00"])
def test_a_wrong_time_is_refused_and_kept(planner: Client, order: WorkOrder, typed: str) -> None:
    factories.bring_to(order, OrderState.APPROVED)
    posted = {"to_state": "scheduled", "version": order.version, "planned_for": typed}

    response = planner.post(address("order-move", order), posted)

    assert response.status_code in {HTTPStatus.BAD_REQUEST, HTTPStatus.CONFLICT}
    assert typed in response.content.decode()
    order.refresh_from_db()
    assert order.state == OrderState.APPROVED


def test_reporting_done_names_the_steps_that_are_not_ticked(
    technician: Client, order: WorkOrder
) -> None:
    factories.bring_to(order, OrderState.IN_HAND)
    technician.post(address("order-step", order, 1))

    page = technician.get(address("order-move", order), {"to_state": "done"})

    assert page.context["unticked"] == [
        step.what for step in order.steps.exclude(place=1).order_by("place")
    ]


def test_steps_are_ticked_and_unticked_on_the_page(technician: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.IN_HAND)

    technician.post(address("order-step", order, 1))
    assert order.steps.get(place=1).done_at
    technician.post(address("order-step", order, 1), {"not_done": "1"})

    assert order.steps.get(place=1).done_at is None


@pytest.mark.parametrize("place", [999, 10**12, 10**30])
def test_a_step_that_is_not_there_is_not_ticked(
    technician: Client, order: WorkOrder, place: int
) -> None:
    factories.bring_to(order, OrderState.IN_HAND)

    response = technician.post(address("order-step", order, place))

    assert response.status_code == HTTPStatus.NOT_FOUND


def test_a_step_of_an_order_not_in_hand_is_refused_in_words(
    technician: Client, order: WorkOrder
) -> None:
    response = technician.post(address("order-step", order, 1))

    assert response.status_code == HTTPStatus.CONFLICT
    assert "Take it in hand" in response.content.decode()


def test_waiting_is_said_and_ended(planner: Client, order: WorkOrder) -> None:
    posted = {"waiting_for": "parts", "why": "rolls due Thursday", "version": order.version}
    planner.post(address("order-waiting", order), posted)
    order.refresh_from_db()
    assert order.waiting_for == "parts"
    assert "rolls due Thursday" in planner.get(address("order", order)).content.decode()

    planner.post(address("order-goes-on", order), {"version": order.version})

    order.refresh_from_db()
    assert order.waiting_for == ""


@pytest.mark.parametrize(
    ("name", "posted"),
    [
        ("order-waiting", {"waiting_for": "parts", "why": "seals"}),
        ("order-urgency", {"urgency": "watch", "why": "seals"}),
        ("order-edit", {"title": "seals"}),
        ("order-goes-on", {}),
    ],
)
def test_a_stale_change_is_refused_with_409_and_kept(
    planner: Client, order: WorkOrder, name: str, posted: dict[str, str]
) -> None:
    factories.bring_to(order, OrderState.APPROVED)

    response = planner.post(address(name, order), {**posted, "version": 1})

    assert response.status_code == HTTPStatus.CONFLICT
    assert "it is approved now" in response.content.decode()
    assert not posted or "seals" in response.content.decode()


def test_a_clerk_changes_nothing(plant: Plant, order: WorkOrder) -> None:
    clerk = client_of(Role.CLERK, plant)

    for name in POSTS:
        posted = {"to_state": "approved", "version": order.version, "words": "x"}
        assert clerk.post(address(name, order), posted).status_code == HTTPStatus.FORBIDDEN


def test_figures_are_put_right(planner: Client, order: WorkOrder) -> None:
    posted = {
        "title": "Square the rolls",
        "hours": "2.5",
        "people": "2",
        "tools": "square\n\n steel tape \n",
        "parts": "",
        "external_number": "88-1",
        "version": order.version,
    }

    planner.post(address("order-edit", order), posted)

    order.refresh_from_db()
    assert (order.title, float(order.hours), order.tools) == (
        "Square the rolls",
        2.5,
        ["square", "steel tape"],
    )


@pytest.mark.parametrize(
    ("field", "typed"),
    [("hours", "-1"), ("hours", "NaN"), ("people", "0"), ("title", ""), ("due_on", "Friday")],
)
def test_wrong_figures_are_refused_at_their_field(
    planner: Client, order: WorkOrder, field: str, typed: str
) -> None:
    posted = {"title": "Square the rolls", "version": order.version, field: typed}

    response = planner.post(address("order-edit", order), posted)

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert field in response.context["form"].errors


def test_a_note_is_left(technician: Client, order: WorkOrder) -> None:
    technician.post(address("order-note", order), {"words": "two shims used"})

    assert "two shims used" in technician.get(address("order", order)).content.decode()


def test_a_note_that_is_empty_or_too_long_is_refused(technician: Client, order: WorkOrder) -> None:
    for words in ("", " ", "x" * 2001):
        response = technician.post(address("order-note", order), {"words": words})
        assert response.status_code == HTTPStatus.BAD_REQUEST

    assert not order.notes.exists()


def test_words_people_type_stay_words(technician: Client, order: WorkOrder) -> None:
    technician.post(address("order-note", order), {"words": "<script>alert(1)</script>"})

    text = technician.get(address("order", order)).content.decode()

    assert "<script>alert" not in text
    assert "&lt;script&gt;alert" in text


def test_a_proof_run_is_recorded_on_its_page(lead: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.DONE)
    page = lead.get(address("order-proof", order))
    posted = {
        "outcome": "passed",
        "revolutions_empty": 3,
        "revolutions_loaded": 3,
        "version": order.version,
    }

    lead.post(address("order-proof", order), posted)

    # 210.5 m of belt at 2.5 m/s.
    assert "One turn takes 84 s here" in page.content.decode()
    order.refresh_from_db()
    assert order.state == OrderState.PROVED


@pytest.mark.parametrize(
    ("outcome", "empty", "loaded", "field"),
    [
        ("passed", 2, 3, "revolutions_empty"),
        ("passed", 3, "", "revolutions_loaded"),
        ("passed", -1, 3, "revolutions_empty"),
        ("failed", 0, 0, "note"),
        ("", 3, 3, "outcome"),
    ],
)
def test_a_proof_run_that_proves_nothing_is_refused_at_its_field(
    lead: Client, order: WorkOrder, outcome: str, empty: object, loaded: object, field: str
) -> None:
    factories.bring_to(order, OrderState.DONE)
    posted = {
        "outcome": outcome,
        "revolutions_empty": empty,
        "revolutions_loaded": loaded,
        "version": order.version,
    }

    response = lead.post(address("order-proof", order), posted)

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert field in response.context["form"].errors


def test_a_planner_records_no_proof_run(planner: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.DONE)

    assert planner.get(address("order-proof", order)).status_code == HTTPStatus.FORBIDDEN


def test_an_order_is_raised_by_hand(planner: Client, order: WorkOrder) -> None:
    posted = {"conveyor": order.conveyor.pk, "title": "Renew the skirt rubber", "component": "R3"}

    response = planner.post(reverse("order-new"), posted)

    raised = WorkOrder.objects.get(title="Renew the skirt rubber")
    assert response["Location"] == address("order", raised)
    assert (raised.case, raised.position_m) == (None, 111.0)


@pytest.mark.parametrize(
    ("given", "field", "status"),
    [
        ({"title": ""}, "title", 400),
        ({"component": "R33"}, "component", 409),
        ({"position_m": "9999"}, "position_m", 409),
        ({"position_m": "nan"}, "position_m", 400),
        ({"urgency": "stop_now"}, "urgency_why", 409),
        ({"urgency": "yesterday"}, "urgency", 400),
        ({"conveyor": ""}, "conveyor", 400),
        ({"conveyor": "x"}, "conveyor", 400),
    ],
)
def test_an_order_by_hand_that_is_wrong_is_refused_at_its_field_and_kept(
    planner: Client, order: WorkOrder, given: dict[str, str], field: str, status: int
) -> None:
    posted = {
        "conveyor": order.conveyor.pk,
        "title": "Renew the skirt rubber",
        "steps": "loosen the clamps",
        **given,
    }

    response = planner.post(reverse("order-new"), posted)

    assert response.status_code == status
    assert field in response.context["form"].errors
    assert "loosen the clamps" in response.content.decode()
    assert WorkOrder.objects.count() == 1


def test_a_conveyor_of_another_plant_gets_no_order(planner: Client) -> None:
    theirs = register.make_conveyor()

    response = planner.post(reverse("order-new"), {"conveyor": theirs.pk, "title": "Look"})

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert not WorkOrder.objects.exists()


def test_a_clerk_raises_no_order(plant: Plant) -> None:
    assert client_of(Role.CLERK, plant).get(reverse("order-new")).status_code == 403


def test_work_is_raised_again_from_the_case(planner: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.DECLINED)

    response = planner.post(reverse("order-raise-again", args=[order.hypothesis_id]))

    raised = WorkOrder.objects.open().get()
    assert response["Location"] == address("order", raised)


def test_work_of_another_plant_is_not_raised_again(order: WorkOrder) -> None:
    elsewhere = client_of(Role.PLANNER, register.make_plant())

    response = elsewhere.post(reverse("order-raise-again", args=[order.hypothesis_id]))

    assert response.status_code == HTTPStatus.NOT_FOUND


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


def test_the_order_page_takes_the_same_few_queries_however_long_its_log_is(
    planner: Client, order: WorkOrder, django_assert_max_num_queries
) -> None:
    for minute in range(20):
        order.notes.create(words="seen", at=timezone.now() + timedelta(minutes=minute))

    with django_assert_max_num_queries(20):
        planner.get(address("order", order))


@pytest.mark.parametrize("number", ["LT-W-9999", "lt-w-0001", "LT-C-0001", "LT-W-0001'"])
def test_an_unknown_number_is_not_there(planner: Client, order: WorkOrder, number: str) -> None:
    assert planner.get(f"/work/{number}/").status_code == HTTPStatus.NOT_FOUND


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


_PLAN = {Role.PLANNER, Role.LEAD, Role.ADMINISTRATOR}
_DO = {Role.TECHNICIAN, Role.PLANNER, Role.LEAD, Role.ADMINISTRATOR}
_PROVE = {Role.TECHNICIAN, Role.LEAD, Role.ADMINISTRATOR}


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
