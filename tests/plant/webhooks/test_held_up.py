"""What goes wrong with one target or one message holds up no other, and can be cleared."""

from contextlib import ExitStack
from typing import Any

import pytest
from django.utils import timezone

from plant.models import Conveyor, Plant, WebhookDelivery
from plant.services import slots, webhook_lines, webhook_owing, webhook_sending
from plant.wording.wording import Wording
from tests.plant.webhooks.receiver import Receiver
from tests.plant.webhooks.rows import make_row
from tests.plant.webhooks.targets import State, make_target, rename, send_now, states
from tests.plant.webhooks.test_words_sent import make_system
from tests.workorders.feeds.writers import another_connection

pytestmark = pytest.mark.django_db


def test_given_up_together_what_was_set_aside_lets_what_waits_go_on(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    rename(conveyor, "one", "two", "three")
    first, second, _third = target.deliveries.order_by("number")
    WebhookDelivery.objects.filter(pk__in=[first.pk, second.pk]).update(state=State.PARKED)

    assert webhook_lines.give_up_all_parked(target_id=target.pk, now=timezone.now()) == 2
    send_now()

    assert receiver.names == ["three"]
    assert states(target) == [State.GIVEN_UP, State.GIVEN_UP, State.SENT]


def test_changes_that_cannot_be_owed_to_one_target_are_owed_to_the_others(
    receiver: Receiver, conveyor: Conveyor, plant: Plant, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken, _secret = make_target(plant, receiver.address("/broken"))
    make_target(plant, receiver.address("/whole"), name="other")
    owe = webhook_owing._owe_page

    def owing(target_id: int) -> tuple[int, bool]:
        if target_id == broken.pk:
            raise TypeError("a defect of ours")
        return owe(target_id)

    monkeypatch.setattr(webhook_owing, "_owe_page", owing)
    rename(conveyor, "one")
    send_now()

    assert [one.path for one in receiver.got] == ["/whole"]


def test_only_so_many_sweeps_send_at_the_same_time(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    make_target(plant, receiver.address())
    rename(conveyor, "one")
    with ExitStack() as others:
        for number in range(webhook_sending.MOST_SENDERS):
            held = others.enter_context(another_connection(autocommit=True))
            held.cursor().execute(
                "SELECT pg_advisory_lock(%s, hashtext(%s))",
                [slots.SLOTS, f"webhooks are sent {number}"],
            )
            # Unlocked before it is closed: what a closed connection held is held a little longer.
            others.callback(held.cursor().execute, "SELECT pg_advisory_unlock_all()")
        assert webhook_sending.send_owed() == 0

    assert webhook_sending.send_owed() == 1
    assert receiver.names == ["one"]


def test_where_nobody_is_told_looking_costs_one_query(
    plant: Plant, django_assert_num_queries: Any
) -> None:
    make_row(plant, off="paused")

    with django_assert_num_queries(1):
        assert webhook_sending.send_owed() == 0


def test_what_cannot_be_worded_holds_up_nothing_else(
    receiver: Receiver, conveyor: Conveyor, plant: Plant, monkeypatch: pytest.MonkeyPatch
) -> None:
    theirs, _secret = make_target(plant, receiver.address("/theirs"), system=make_system(plant))
    make_target(plant, receiver.address("/ours"), name="other")
    rename(conveyor, "Renamed")
    told = Wording.change_to_theirs

    def broken(self: Wording, change: Any, missed: Any) -> Any:
        if change["record"]["name"] == "Renamed":
            raise TypeError("a defect of ours")
        return told(self, change, missed)

    monkeypatch.setattr(Wording, "change_to_theirs", broken)
    send_now()
    assert [one.path for one in receiver.got] == ["/ours"]
    monkeypatch.undo()
    send_now()

    assert receiver.got[-1].path == "/theirs"
    assert states(theirs) == [State.SENT]
