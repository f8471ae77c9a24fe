"""The pages of webhooks: administrators only, secrets once, everything undone or asked first."""

import re
from datetime import timedelta
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from standardwebhooks import Webhook

from plant.models import Conveyor, Feed, Plant, WebhookDelivery, WebhookTarget
from plant.roles import Role
from plant.selectors import site_figures
from plant.selectors import webhooks as selector
from tests.plant import factories
from tests.plant.factories import signed_in
from tests.plant.webhooks import receiver as receivers
from tests.plant.webhooks.receiver import Receiver
from tests.plant.webhooks.rows import make_delivery, make_row
from tests.plant.webhooks.targets import State, make_target, rename, send_now
from tests.workorders.factories import make_key

pytestmark = pytest.mark.django_db


@pytest.fixture
def administrator(plant: Plant) -> Client:
    return signed_in(factories.make_person(Role.ADMINISTRATOR, plants=[plant]))


def filled(plant: Plant, address: str, **given: Any) -> dict[str, Any]:
    return {
        "name": "stores system",
        "plant": plant.pk,
        "address": address,
        "feeds": ["register"],
        "kinds": ["added", "changed"],
        **given,
    }


def page(client: Client, name: str, *args: Any, **query: Any) -> str:
    response = client.get(reverse(name, args=args), query)
    assert response.status_code == HTTPStatus.OK
    return " ".join(response.content.decode().split())


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.ADMINISTRATOR])
def test_only_administrators_see_webhooks(plant: Plant, role: Role) -> None:
    client = signed_in(factories.make_person(role, plants=[plant]))
    target = make_row(plant)

    for name, args in [("webhooks", []), ("webhook-new", []), ("webhook", [target.pk])]:
        assert client.get(reverse(name, args=args)).status_code == HTTPStatus.FORBIDDEN
    pause = client.post(reverse("webhook-pause", args=[target.pk]))
    assert pause.status_code == HTTPStatus.FORBIDDEN


def test_an_empty_list_says_what_to_do_first(administrator: Client) -> None:
    assert "No system is told yet" in page(administrator, "webhooks")


def test_a_target_is_entered_its_secret_shown_once_and_it_is_told(
    administrator: Client, plant: Plant, receiver: Receiver, conveyor: Conveyor
) -> None:
    made = administrator.post(reverse("webhook-new"), filled(plant, receiver.address()))

    assert made.status_code == HTTPStatus.CREATED
    assert "no-store" in made["Cache-Control"]
    secret = made.context["secret"]
    rename(conveyor, "Told")
    send_now()
    Webhook(secret).verify(receiver.got[0].body, receiver.got[0].headers)
    target = WebhookTarget.objects.get()
    assert secret not in page(administrator, "webhook", target.pk)
    assert "stores system" in page(administrator, "webhooks")


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"name": ""}, "name", ""),
        ({"name": "x" * 61}, "name", ""),
        ({"address": "stores.example"}, "address", "https://"),
        ({"address": "https://a:b@stores.example/"}, "address", "Leave user and password out"),
        ({"address": "https://stores.example:22/"}, "address", "port"),
        ({"address": "http://127.0.0.1:8000/"}, "address", "WEBHOOK_PRIVATE_TARGETS"),
        ({"address": "http://169.254.169.254/"}, "address", "WEBHOOK_PRIVATE_TARGETS"),
        ({"address": "http://[::ffff:10.0.0.1]/"}, "address", "WEBHOOK_PRIVATE_TARGETS"),
        ({"feeds": []}, "feeds", ""),
        ({"feeds": ["everything"]}, "feeds", ""),
        ({"kinds": []}, "kinds", ""),
        ({"plant": "999999"}, "plant", ""),
        ({"system": "999999"}, "system", ""),
        ({"spared_key": "x"}, "spared_key", ""),
    ],
)
def test_what_is_wrong_is_refused_at_its_field_and_kept(
    administrator: Client, plant: Plant, given: dict[str, Any], field: str, words: str
) -> None:
    typed = {**filled(plant, "http://8.8.8.8/"), **given}

    response = administrator.post(reverse("webhook-new"), typed)

    assert response.status_code in {HTTPStatus.BAD_REQUEST, HTTPStatus.CONFLICT}
    assert words in str(response.context["form"].errors[field])
    assert field == "name" or "stores system" in response.content.decode()
    assert not WebhookTarget.objects.exists()


def test_a_name_is_given_once_at_a_plant(administrator: Client, plant: Plant) -> None:
    make_row(plant)

    response = administrator.post(reverse("webhook-new"), filled(plant, "http://8.8.8.8/"))

    assert response.status_code == HTTPStatus.CONFLICT
    assert "name" in response.context["form"].errors


def test_key_and_system_of_another_plant_cannot_be_chosen(plant: Plant) -> None:
    """Not even by somebody who administers both."""
    other = factories.make_plant()
    client = signed_in(factories.make_person(Role.ADMINISTRATOR, plants=[plant, other]))
    key, _secret = make_key(other)

    response = client.post(
        reverse("webhook-new"), filled(plant, "http://8.8.8.8/", spared_key=key.pk)
    )

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert "spared_key" in response.context["form"].errors


def test_a_change_of_somebody_elses_meanwhile_is_not_written_over(
    administrator: Client, plant: Plant
) -> None:
    target = make_row(plant)
    typed = filled(plant, "http://8.8.8.8/", version=1)
    address = reverse("webhook-change", args=[target.pk])

    assert administrator.post(address, typed).status_code == HTTPStatus.FOUND
    late = administrator.post(address, {**typed, "name": "late"})

    assert late.status_code == HTTPStatus.CONFLICT
    target.refresh_from_db()
    assert (target.name, target.address, target.version) == ("stores system", "http://8.8.8.8/", 2)
    # What was typed is still there, and sent once more it counts.
    shown = late.content.decode()
    assert 'value="late"' in shown
    seen = re.search(r'name="version" value="(\d+)"', shown)
    assert seen
    again = administrator.post(address, {**typed, "name": "late", "version": seen[1]})
    assert again.status_code == HTTPStatus.FOUND


def test_a_new_secret_is_shown_once_and_the_page_says_how_long_both_sign(
    administrator: Client, plant: Plant
) -> None:
    target = make_row(plant)
    address = reverse("webhook-secret", args=[target.pk])

    made = administrator.post(address, {"overlap": "24"})

    assert made.status_code == HTTPStatus.CREATED
    assert made.context["secret"].startswith("whsec_")
    assert target.secrets.count() == 2
    assert "signs beside the new one until" in page(administrator, "webhook", target.pk)
    # Somebody else knows it: no overlap.
    administrator.post(address, {"overlap": "0"})
    assert target.secrets.filter(ends_at__isnull=True).count() == 1
    assert target.secrets.filter(ends_at__gt=timezone.now()).count() == 0
    assert administrator.post(address, {"overlap": "5"}).status_code == HTTPStatus.BAD_REQUEST


def test_trying_it_shows_what_was_sent_and_what_came_of_it(
    administrator: Client, plant: Plant, receiver: Receiver, conveyor: Conveyor
) -> None:
    rename(conveyor, "Latest")
    target, secret = make_target(plant, receiver.address())
    rename(conveyor, "Latest of all")
    receiver.answers = lambda handler, _asked: handler.say(422, b"<b>no such belt</b>")
    address = reverse("webhook-try", args=[target.pk])

    shown = administrator.post(address).content.decode()

    assert "It was not taken" in shown
    assert "It answered 422." in shown
    assert "&lt;b&gt;no such belt" in shown
    [got] = receiver.got
    assert got.message_id.startswith("trial-")
    assert Webhook(secret).verify(got.body, got.headers)["record"]["name"] == "Latest of all"
    receiver.answers = receivers.statuses(200)
    assert "It was taken" in administrator.post(address).content.decode()
    # Of a trial nothing is kept.
    assert target.deliveries.count() == 1
    assert target.deliveries.get().tries == 0


def test_trying_before_anything_changed_sends_an_example(
    administrator: Client, plant: Plant, receiver: Receiver
) -> None:
    target, _secret = make_target(plant, receiver.address(), feeds=[Feed.CASES.value])

    administrator.post(reverse("webhook-try", args=[target.pk]))

    assert receiver.got[0].change["of"] == "trial"


def test_pausing_and_taking_up_again(administrator: Client, plant: Plant) -> None:
    target = make_row(plant)
    pause, resume = (reverse(f"webhook-{word}", args=[target.pk]) for word in ("pause", "resume"))

    administrator.post(pause)
    shown = administrator.post(pause, follow=True).content.decode()
    assert "Nothing is sent there already." in shown
    assert "Take it up again" in shown
    administrator.post(resume)

    assert WebhookTarget.objects.get().off == ""
    assert administrator.get(pause).status_code == HTTPStatus.METHOD_NOT_ALLOWED


def test_deleting_asks_first(administrator: Client, plant: Plant) -> None:
    delivery = make_delivery(plant)
    address = reverse("webhook-delete", args=[delivery.target_id])

    assert "Delete stores system?" in administrator.get(address).content.decode()
    assert WebhookTarget.objects.exists()
    administrator.post(address)

    assert not WebhookTarget.objects.exists()
    assert not WebhookDelivery.objects.exists()


def test_the_log_says_what_waits_behind_what_and_is_narrowed_by_state(
    administrator: Client, plant: Plant
) -> None:
    first = make_delivery(plant, number=1, state=State.PARKED, tries=11, status=500)
    target = first.target
    make_delivery(plant, target, 2)
    make_delivery(plant, target, 3, row_id=43, key="LT-W-0043", state=State.SENT)

    shown = page(administrator, "webhook", target.pk)
    assert "1 later change waits behind it" in shown
    assert "waits for an earlier change of the same row" in shown
    assert "1 message was set aside" in shown
    parked = page(administrator, "webhook", target.pk, state="parked")
    assert "LT-W-0042" in parked
    assert "LT-W-0043" not in parked
    # A state nobody knows narrows nothing.
    assert "LT-W-0043" in page(administrator, "webhook", target.pk, state="lost")


def test_a_message_is_given_up_after_a_question_and_sent_again_after_all(
    administrator: Client, plant: Plant
) -> None:
    delivery = make_delivery(plant, state=State.PARKED, tries=11, fault="not_allowed")
    give_up = reverse("webhook-delivery-give-up", args=[delivery.pk])

    assert "WEBHOOK_PRIVATE_TARGETS" in page(administrator, "webhook-delivery", delivery.pk)
    assert "Give up change 4815 of LT-W-0042?" in administrator.get(give_up).content.decode()
    administrator.post(give_up)
    delivery.refresh_from_db()
    assert delivery.state == State.GIVEN_UP
    administrator.post(reverse("webhook-delivery-send-again", args=[delivery.pk]))

    delivery.refresh_from_db()
    assert (delivery.state, delivery.tries) == (State.OWED, 0)


def test_all_that_was_set_aside_is_given_up_after_a_question(
    administrator: Client, plant: Plant
) -> None:
    target = make_row(plant)
    for number in (1, 2):
        make_delivery(plant, target, number, state=State.PARKED)
    address = reverse("webhook-give-up", args=[target.pk])
    assert address in page(administrator, "webhook", target.pk)

    assert "Give up 2 messages" in administrator.get(address).content.decode()
    assert target.deliveries.filter(state=State.PARKED).count() == 2
    shown = administrator.post(address, follow=True).content.decode()

    assert "2 are given up." in shown
    assert target.deliveries.filter(state=State.GIVEN_UP).count() == 2


def test_what_is_being_sent_just_now_is_left_alone(administrator: Client, plant: Plant) -> None:
    soon = timezone.now() + timedelta(seconds=50)
    delivery = make_delivery(plant, claimed_until=soon, tries=1)

    for name in ("give-up", "send-again"):
        address = reverse(f"webhook-delivery-{name}", args=[delivery.pk])
        shown = administrator.post(address, follow=True).content.decode()
        assert "It is being sent just now." in shown

    delivery.refresh_from_db()
    assert (delivery.state, delivery.tries) == (State.OWED, 1)


def test_a_page_shows_the_message_as_it_is_sent(
    administrator: Client, plant: Plant, receiver: Receiver, conveyor: Conveyor
) -> None:
    target, _secret = make_target(plant, receiver.address())
    rename(conveyor, "Told & kept")

    shown = page(administrator, "webhook-delivery", target.deliveries.get().pk)

    assert re.search(r"&quot;name&quot;: &quot;Told &amp; kept&quot;", shown)


def test_list_and_log_take_the_same_few_queries_however_long_they_are(
    administrator: Client, plant: Plant, django_assert_max_num_queries
) -> None:
    target = make_row(plant, name="busy")
    for number in range(40):
        make_row(plant, name=f"system {number}")
        make_delivery(plant, target, number + 1, row_id=number % 3)

    with django_assert_max_num_queries(12):
        page(administrator, "webhooks")
    with django_assert_max_num_queries(14):
        page(administrator, "webhook", target.pk)


def test_the_backlog_counts_what_waits_and_since_when(plant: Plant) -> None:
    assert selector.backlog() == selector.Backlog(0, None, 0)
    hour_ago = timezone.now() - timedelta(hours=1)
    first = make_delivery(plant, number=1)
    WebhookDelivery.objects.filter(pk=first.pk).update(made_at=hour_ago)
    make_delivery(plant, first.target, 2)
    make_delivery(plant, first.target, 3, state=State.PARKED)
    make_delivery(plant, first.target, 4, state=State.SENT)
    # What is paused is not waited for.
    make_delivery(plant, make_row(plant, "paused", off="paused"), 1)

    assert selector.backlog() == selector.Backlog(owed=2, oldest_at=hour_ago, parked=1)
    assert selector.backlog().oldest_s(hour_ago + timedelta(minutes=5)) == 300


def test_who_watches_the_site_is_told_what_webhooks_owe(plant: Plant) -> None:
    first = make_delivery(plant, number=1)
    make_delivery(plant, first.target, 2, state=State.PARKED)

    told = {figure.name: figure.samples[0].value for figure in site_figures.of_webhooks()}

    assert told["webhook_backlog_deliveries"] == 1
    assert told["webhook_parked_deliveries"] == 1
    assert 0 <= told["webhook_oldest_seconds"] < 60
