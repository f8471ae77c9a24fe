"""Splitting and merging on pages: what becomes of it is shown before it is done."""

import re
from html import unescape
from http import HTTPStatus
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client

from plant.models import Plant
from plant.roles import Role
from tests.workorders import factories, part_rows
from tests.workorders.kin_rows import make_work, merge, split, steps_of
from tests.workorders.pages import address, client_of
from tests.workorders.test_linking import link
from workorders.models import WorkOrder
from workorders.order_states import OPEN_STATES, OrderState

pytestmark = pytest.mark.django_db


@pytest.fixture
def work(plant: Plant) -> WorkOrder:
    return make_work(factories.make_conveyor(plant), "isolate", "lift the belt", "fit rolls")


@pytest.fixture
def other(work: WorkOrder) -> WorkOrder:
    return make_work(work.conveyor, "grease")


def post_split(client: Client, order: WorkOrder, button: str, **typed: Any) -> HttpResponse:
    sent = {"places": [2], "title": "Lift the belt", "version": order.version, button: "yes"}
    return client.post(address("order-split", order), {**sent, **typed})


def post_merge(client: Client, order: WorkOrder, *others: WorkOrder, **typed: Any) -> HttpResponse:
    sent = {"others": [one.pk for one in others], "seen": ""}
    return client.post(address("order-merge", order), {**sent, **typed})


def seen(*orders: WorkOrder) -> str:
    return ",".join(f"{one.pk}:{one.version}" for one in orders)


def test_a_split_is_looked_at_before_it_is_done(planner: Client, work: WorkOrder) -> None:
    chosen = planner.get(address("order-split", work))
    looked = post_split(planner, work, "look")

    assert "lift the belt" in chosen.content.decode()
    assert looked.context["stays"].steps == ["isolate", "fit rolls"]
    assert looked.context["goes"].steps == ["lift the belt"]
    assert WorkOrder.objects.count() == 1
    again = post_split(planner, work, "again")
    assert 'value="2" required' in again.content.decode() or "checked" in again.content.decode()
    done = post_split(planner, work, "do")
    new = WorkOrder.objects.get(split_from=work)
    assert done["Location"] == address("order", new)
    shown = planner.get(address("order", work)).content.decode()
    assert "Split off from it" in shown
    assert new.number in shown


def test_the_look_shows_what_the_split_then_does(
    planner: Client, plant: Plant, work: WorkOrder
) -> None:
    line = part_rows.need(work, part_rows.make_part(plant, "9"), "4")
    typed = {f"part_{line.pk}": "3", "hours": "2,5", "follows": "on"}

    looked = post_split(planner, work, "look", **typed).content.decode()
    post_split(planner, work, "do", **typed)

    new = WorkOrder.objects.get(split_from=work)
    assert "3\u00a0pcs carrying roll" in looked
    assert "The new order waits for" in looked
    assert (float(new.hours), new.order_parts.get().amount, line.part.on_hand) == (2.5, 3, 9)
    assert new.waits_for.get().after == work


def hidden(page: HttpResponse) -> dict[str, list[str]]:
    """What the page sends along by itself, as a browser reads it."""
    found: dict[str, list[str]] = {}
    for tag in re.findall(r"<input[^>]*type=\"hidden\"[^>]*>", page.content.decode()):
        name, value = (re.search(f'{one}="([^"]*)"', tag) for one in ("name", "value"))
        if name is not None:
            found.setdefault(name[1], []).append(unescape(value[1]) if value else "")
    return found


def test_the_page_that_shows_the_result_sends_along_all_it_takes(
    planner: Client, plant: Plant, work: WorkOrder, other: WorkOrder
) -> None:
    line = part_rows.need(work, part_rows.make_part(plant, "9"), "4")
    typed = {"places": [1, 3], "title": 'Lift "it" & try', f"part_{line.pk}": "3"}
    look = post_split(planner, work, "look", **typed)
    planner.post(address("order-split", work), {**hidden(look), "do": "yes"})
    look = post_merge(planner, work, other, look="yes")
    planner.post(address("order-merge", work), {**hidden(look), "do": "yes"})

    new = WorkOrder.objects.get(split_from=work)
    assert (new.title, new.steps.count(), new.order_parts.get().amount) == (
        'Lift "it" & try',
        2,
        3,
    )
    other.refresh_from_db()
    assert other.merged_into == work


def test_a_step_that_has_another_number_now_is_not_ticked_by_its_old_one(
    planner: Client, technician: Client, work: WorkOrder
) -> None:
    factories.bring_to(work, OrderState.IN_HAND)
    seen_at_two = work.steps.get(place=2)
    where = address("order-step", work, 2)
    split(work, 2)

    answer = technician.post(where, {"step": seen_at_two.pk})

    assert answer.status_code == HTTPStatus.CONFLICT
    assert "other numbers now" in answer.content.decode()
    assert not work.steps.filter(done_at__isnull=False).exists()
    technician.post(where, {"step": work.steps.get(place=2).pk})
    assert work.steps.get(place=2).done_at is not None


@pytest.mark.parametrize(
    ("typed", "status"),
    [
        ({"places": []}, HTTPStatus.CONFLICT),
        ({"places": [1, 2, 3]}, HTTPStatus.CONFLICT),
        ({"places": [9]}, HTTPStatus.BAD_REQUEST),
        ({"places": ["x"]}, HTTPStatus.BAD_REQUEST),
        ({"title": ""}, HTTPStatus.BAD_REQUEST),
        ({"hours": "many"}, HTTPStatus.BAD_REQUEST),
        ({"version": 99}, HTTPStatus.CONFLICT),
        ({"version": ""}, HTTPStatus.BAD_REQUEST),
    ],
)
@pytest.mark.parametrize("button", ["look", "do"])
def test_a_wrong_split_is_refused_and_what_was_typed_is_kept(
    planner: Client, work: WorkOrder, button: str, typed: dict[str, Any], status: HTTPStatus
) -> None:
    answer = post_split(planner, work, button, **{"title": "Brass dunlin", **typed})

    assert answer.status_code == status
    assert typed.get("title") == "" or "Brass dunlin" in answer.content.decode()
    assert WorkOrder.objects.count() == 1


def test_a_merge_is_looked_at_before_it_is_done(
    planner: Client, work: WorkOrder, other: WorkOrder
) -> None:
    chosen = planner.get(address("order-merge", work))
    looked = post_merge(planner, work, other, look="yes")

    assert other.number in chosen.content.decode()
    assert looked.context["shown"].into.steps == ["isolate", "lift the belt", "fit rolls", "grease"]
    assert looked.context["seen"] == seen(work, other)
    assert other.cautions[0] in looked.content.decode().replace("&#x27;", "'")
    other.refresh_from_db()
    assert other.state == OrderState.PROPOSED
    done = post_merge(planner, work, other, do="yes", seen=seen(work, other))
    assert done["Location"] == address("order", work)
    assert len(steps_of(work)) == 4
    assert "Its work goes on in" in planner.get(address("order", other)).content.decode()


def test_the_order_that_stands_for_a_cause_goes_on_whichever_page_it_was_asked_on(
    planner: Client, order: WorkOrder
) -> None:
    by_hand = make_work(order.conveyor, "grease")

    looked = post_merge(planner, by_hand, order, look="yes")
    post_merge(planner, by_hand, order, do="yes", seen=seen(order, by_hand))

    assert looked.context["into"] == order
    by_hand.refresh_from_db()
    assert by_hand.merged_into == order


@pytest.mark.parametrize("typed", ["", "1:1", "rubbish", "9" * 30 + ":1", "1:1,,"])
def test_a_merge_of_orders_nobody_looked_at_is_refused(
    planner: Client, work: WorkOrder, other: WorkOrder, typed: str
) -> None:
    answer = post_merge(planner, work, other, do="yes", seen=typed)

    assert answer.status_code in {HTTPStatus.CONFLICT, HTTPStatus.BAD_REQUEST}
    assert WorkOrder.objects.open().count() == 2


def test_a_merge_that_cannot_be_says_why_and_keeps_the_choice(
    planner: Client, work: WorkOrder, other: WorkOrder
) -> None:
    between = make_work(work.conveyor)
    link(work, between)
    link(between, other)

    answer = post_merge(planner, work, other, look="yes")

    assert answer.status_code == HTTPStatus.CONFLICT
    assert "as one, none could begin" in answer.content.decode()
    assert "checked" in answer.content.decode()


def test_orders_of_another_conveyor_or_plant_are_not_offered(
    planner: Client, plant: Plant, work: WorkOrder
) -> None:
    for stranger in (
        make_work(factories.make_conveyor(plant)),
        factories.make_order_by_hand(),
        work,
    ):
        answer = post_merge(planner, work, stranger, look="yes")

        assert answer.status_code == HTTPStatus.BAD_REQUEST
        assert "others" in answer.context["form"].errors


def test_without_other_work_the_page_says_so(planner: Client, work: WorkOrder) -> None:
    page = planner.get(address("order-merge", work)).content.decode()

    assert "No other order of this conveyor is open" in page


@pytest.mark.parametrize("state", OrderState)
@pytest.mark.parametrize("name", ["order-split", "order-merge", "order-link"])
def test_pages_that_change_open_work_refuse_other_work_in_words(
    planner: Client, work: WorkOrder, other: WorkOrder, name: str, state: OrderState
) -> None:
    factories.bring_to(work, state)
    sent = {
        "order-split": {"places": [2], "title": "Lift", "do": "yes"},
        "order-merge": {"others": [other.pk], "seen": seen(work, other), "do": "yes"},
        "order-link": {"after": other.pk},
    }[name]

    answer = planner.post(address(name, work), {**sent, "version": work.version})

    expected = HTTPStatus.FOUND if state in OPEN_STATES else HTTPStatus.CONFLICT
    assert answer.status_code == expected
    work.refresh_from_db()
    assert work.state == state


@pytest.mark.parametrize("role", [Role.CLERK, Role.TECHNICIAN])
@pytest.mark.parametrize("name", ["order-split", "order-merge"])
def test_splitting_and_merging_are_the_planners(
    plant: Plant, work: WorkOrder, name: str, role: Role
) -> None:
    client = client_of(role, plant)

    assert client.get(address(name, work)).status_code == HTTPStatus.FORBIDDEN
    assert client.post(address(name, work)).status_code == HTTPStatus.FORBIDDEN


def test_coming_back_says_first_what_comes_back_and_what_does_not(
    planner: Client, work: WorkOrder, other: WorkOrder
) -> None:
    merge(work, other)

    page = planner.get(address("order-move", other), {"to_state": "proposed"}).content.decode()

    assert f"It is part of {work.number} now" in page
    assert "Does not come back" in page


def test_the_pages_show_hostile_words_as_words(planner: Client, work: WorkOrder) -> None:
    evil = make_work(work.conveyor, "<script>alert(1)</script>", title="<img src=x>")
    rest = split(work, 2, title="<b>bold</b>")

    for page in (
        planner.get(address("order-merge", work)),
        post_merge(planner, work, evil, rest, look="yes"),
        planner.get(address("order-split", evil)),
        planner.get(address("order", work)),
    ):
        text = page.content.decode()
        assert not {"<script>alert", "<img src=x>", "<b>bold"} & set(text.split("\n"))
        assert "<script>alert" not in text
        assert "<img src=x>" not in text
