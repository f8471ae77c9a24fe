"""From a change to a receiver: signed, in order, again and again, and never lost."""

import logging
from datetime import timedelta

import pytest
from django.utils import timezone
from standardwebhooks import Webhook, WebhookVerificationError

from plant import acting, owed
from plant.models import Conveyor, Feed, FeedPosition, Plant, WebhookDelivery, WebhookTarget
from plant.services import keeping_webhooks, webhook_lines, webhook_sending
from plant.webhooks import backoff
from plant.webhooks.answers import Fault
from tests.plant import factories
from tests.plant.webhooks import receiver as receivers
from tests.plant.webhooks.receiver import Receiver
from tests.plant.webhooks.targets import State, make_target, rename, send_now, states
from tests.workorders.factories import make_key

pytestmark = pytest.mark.django_db


def test_a_change_reaches_the_receiver_as_the_feed_tells_it(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    make_target(plant, receiver.address())
    rename(conveyor, "Coal to bunker")

    send_now()

    [got] = receiver.got
    change = got.change
    assert (change["kind"], change["of"], change["plant"]) == ("changed", "conveyor", "LT")
    assert change["record"]["name"] == "Coal to bunker"
    assert change["number"] > 0
    assert set(change) == {"number", "at", "plant", "kind", "of", "key", "by", "who", "record"}


def test_what_was_before_the_target_is_not_sent(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    rename(conveyor, "Before")
    make_target(plant, receiver.address())
    rename(conveyor, "After")

    send_now()

    assert receiver.names == ["After"]


def test_only_the_chosen_feeds_and_kinds_are_sent_and_no_other_plants(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    make_target(plant, receiver.address("/added"), kinds=["added"])
    make_target(plant, receiver.address("/cases"), feeds=[Feed.CASES.value], name="cases")
    rename(conveyor, "Renamed")
    rename(factories.make_conveyor(factories.make_plant()), "Elsewhere")
    factories.make_conveyor(plant, tag="CV-9")

    send_now()

    assert [(one.path, one.change["record"]["tag"]) for one in receiver.got] == [("/added", "CV-9")]


def test_what_a_key_changed_itself_is_spared_to_its_holder(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    key, _secret = make_key(plant)
    make_target(plant, receiver.address(), spared_key=key)
    rename(conveyor, "By somebody")
    with acting.by_key(key):
        rename(conveyor, "By the stores system")

    send_now()

    assert receiver.names == ["By somebody"]


def test_the_receiver_can_verify_it_with_the_library_of_the_standard(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    _target, secret = make_target(plant, receiver.address())
    rename(conveyor, "Bücher & Co → 100 %")

    send_now()

    [got] = receiver.got
    assert Webhook(secret).verify(got.body, got.headers)["record"]["name"] == "Bücher & Co → 100 %"
    with pytest.raises(WebhookVerificationError):
        Webhook(secret).verify(got.body.replace(b"changed", b"removed"), got.headers)


def test_while_a_secret_is_changed_both_verify_and_afterwards_the_new_one_alone(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, old = make_target(plant, receiver.address())
    new = keeping_webhooks.change_secret(
        target_id=target.pk, overlap=timedelta(hours=24), now=timezone.now()
    )
    rename(conveyor, "Between")
    send_now()
    target.secrets.filter(ends_at__isnull=False).update(ends_at=timezone.now())
    rename(conveyor, "Afterwards")
    send_now()

    between, afterwards = receiver.got
    for secret in (old, new):
        Webhook(secret).verify(between.body, between.headers)
    Webhook(new).verify(afterwards.body, afterwards.headers)
    with pytest.raises(WebhookVerificationError):
        Webhook(old).verify(afterwards.body, afterwards.headers)


def test_a_secret_does_not_stand_in_the_database_as_it_is(
    receiver: Receiver, conveyor: Conveyor, plant: Plant, settings
) -> None:
    target, secret = make_target(plant, receiver.address())
    sealed = target.secrets.get().sealed
    assert secret.removeprefix("whsec_") not in sealed
    rename(conveyor, "Renamed")

    # A site that lost its signing key says so, and sends nothing that nobody could verify.
    old, settings.SECRET_KEY = settings.SECRET_KEY, "another key, as long as it has to be ........"
    send_now()
    assert target.deliveries.get().fault == Fault.SECRET_UNREADABLE
    assert not receiver.got

    settings.SECRET_KEY_FALLBACKS = [old]
    send_now()
    Webhook(secret).verify(receiver.got[0].body, receiver.got[0].headers)


def test_a_delivery_that_fails_is_sent_again_later_with_the_same_id(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    receiver.answers = receivers.statuses(500, 204)
    rename(conveyor, "Renamed")

    webhook_sending.send_owed()
    delivery = target.deliveries.get()
    assert (delivery.state, delivery.tries, delivery.status) == (State.OWED, 1, 500)
    # Nothing before its time.
    webhook_sending.send_owed()
    assert len(receiver.got) == 1
    send_now()

    assert states(target) == [State.SENT]
    first, second = receiver.got
    assert first.message_id == second.message_id == str(delivery.message_id)


def test_after_the_last_try_it_is_set_aside_and_said(
    receiver: Receiver, conveyor: Conveyor, plant: Plant, caplog: pytest.LogCaptureFixture
) -> None:
    target, _secret = make_target(plant, receiver.address())
    receiver.answers = receivers.statuses(400)
    rename(conveyor, "Renamed")

    with caplog.at_level(logging.WARNING):
        send_now(times=backoff.MOST_TRIES + 2)

    assert states(target) == [State.PARKED]
    assert len(receiver.got) == backoff.MOST_TRIES
    assert "was set aside" in caplog.text


def test_changes_of_one_row_go_in_their_order_and_others_pass_by(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    other = factories.make_conveyor(plant, tag="CV-2")
    make_target(plant, receiver.address())
    rename(conveyor, "one", "two", "three")
    rename(other, "beside")
    refused = [True]

    def answer(handler: receivers.Handler, _asked: int) -> None:
        handler.say(400 if receiver.names[-1] == "one" and refused else 204)

    receiver.answers = answer
    webhook_sending.send_owed()
    assert sorted(receiver.names) == ["beside", "one"]
    refused.clear()
    send_now()

    assert receiver.names[-3:] == ["one", "two", "three"]


def test_what_is_set_aside_holds_only_its_own_row_until_somebody_gives_it_up(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    other = factories.make_conveyor(plant, tag="CV-2")
    target, _secret = make_target(plant, receiver.address())
    rename(conveyor, "one", "two")
    first = target.deliveries.order_by("number").first()
    WebhookDelivery.objects.filter(pk=first.pk).update(state=State.PARKED)
    rename(other, "beside")
    send_now()
    assert receiver.names == ["beside"]

    webhook_lines.give_up(delivery_id=first.pk, now=timezone.now())
    send_now()

    assert receiver.names == ["beside", "two"]
    assert states(target) == [State.GIVEN_UP, State.SENT, State.SENT]


def test_replayed_it_is_sent_with_all_its_tries_and_the_same_id(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    rename(conveyor, "one")
    send_now()
    delivery = target.deliveries.get()

    webhook_lines.send_again(delivery_id=delivery.pk, now=timezone.now())
    send_now()

    assert [one.message_id for one in receiver.got] == [str(delivery.message_id)] * 2


def test_all_that_was_set_aside_can_be_sent_again_at_once(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    rename(conveyor, "one", "two")
    target.deliveries.update(state=State.PARKED, tries=11)

    assert webhook_lines.send_all_parked(target_id=target.pk, now=timezone.now()) == 2
    send_now()

    assert receiver.names == ["one", "two"]


def test_a_receiver_that_is_gone_is_switched_off_and_nothing_is_lost(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    receiver.answers = receivers.statuses(410, 204)
    rename(conveyor, "one")
    send_now()
    target.refresh_from_db()
    assert target.off == WebhookTarget.Off.GONE
    rename(conveyor, "two")
    send_now()
    assert receiver.names == ["one"]

    assert keeping_webhooks.resume(target_id=target.pk)
    webhook_sending.send_owed()
    send_now()

    assert receiver.names == ["one", "one", "two"]


def test_paused_means_nothing_is_sent_and_resumed_everything_in_between(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    keeping_webhooks.pause(target_id=target.pk, now=timezone.now())
    rename(conveyor, "one", "two")
    send_now()
    assert not receiver.got
    assert not target.deliveries.exists()

    keeping_webhooks.resume(target_id=target.pk)
    send_now()

    # Two changes of one transaction that nobody had numbered are one.
    assert receiver.names[-1] == "two"


def test_a_target_behind_what_the_feed_keeps_is_stopped_and_goes_on_with_what_is_to_come(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    keeping_webhooks.pause(target_id=target.pk, now=timezone.now())
    make_target(plant, receiver.address("/other"), name="other")
    rename(conveyor, "lost")
    WebhookTarget.objects.filter(pk=target.pk).update(off="")
    last = FeedPosition.objects.get().last_number
    FeedPosition.objects.update(dropped_through=last)
    send_now()
    target.refresh_from_db()
    assert target.off == WebhookTarget.Off.BEHIND

    assert not keeping_webhooks.resume(target_id=target.pk)
    rename(conveyor, "found")
    send_now()

    assert [one.change["record"]["name"] for one in receiver.got if one.path == "/in"] == ["found"]


def test_a_receiver_that_asks_for_patience_gets_it_for_everything(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    receiver.answers = lambda handler, _asked: handler.say(429, Retry_After="600")
    rename(conveyor, "one")
    webhook_sending.send_owed()
    rename(factories.make_conveyor(plant, tag="CV-2"), "two")
    webhook_sending.send_owed()

    assert len(receiver.got) == 1
    target.refresh_from_db()
    delivery = target.deliveries.order_by("number").first()
    for at in (target.rests_until, delivery.next_at):
        assert timedelta(seconds=500) < at - timezone.now() <= timedelta(seconds=600)


def test_a_target_that_hangs_holds_up_no_other(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    """The other's two letters, one after the other in a line, land while the first one hangs."""
    taken: list[str] = []

    def answer(handler: receivers.Handler, _asked: int) -> None:
        path = receiver.got[-1].path
        if path == "/slow":
            receivers.hangs(0.6)(handler, 0)
        else:
            handler.say(204)
        taken.append(path)

    receiver.answers = answer
    make_target(plant, receiver.address("/slow"), name="a slow one")
    make_target(plant, receiver.address("/quick"), name="quick")
    rename(conveyor, "one", "two")

    webhook_sending.send_owed()

    assert taken.index("/quick") < taken.index("/slow")
    assert taken[:2] == ["/quick", "/quick"]


def test_a_target_that_does_not_answer_is_asked_for_one_delivery_at_a_time(
    receiver: Receiver, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    for number in range(6):
        rename(factories.make_conveyor(plant, tag=f"CV-{number}"), "one")
    WebhookTarget.objects.filter(pk=target.pk).update(failures=backoff.TRIES_BEFORE_REST)
    receiver.answers = receivers.statuses(503)

    webhook_sending.send_owed()

    assert len(receiver.got) == 1


def test_a_change_that_is_no_longer_kept_is_set_aside_at_once(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    rename(conveyor, "one")
    target.deliveries.update(number=10**9)

    send_now()

    delivery = target.deliveries.get()
    assert (delivery.state, delivery.fault) == (State.PARKED, Fault.CHANGE_NOT_KEPT)


def test_what_ends_a_worker_each_time_is_set_aside(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    rename(conveyor, "one")
    target.deliveries.update(tries=backoff.MOST_TRIES)

    send_now()

    assert target.deliveries.get().fault == Fault.NEVER_ENDED
    assert not receiver.got


def test_old_entries_leave_the_log_and_what_is_open_stays(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    rename(conveyor, "one")
    send_now()
    target.deliveries.update(ended_at=timezone.now() - timedelta(days=31))
    rename(conveyor, "two")

    assert webhook_sending.forget_old_deliveries() == 1
    assert states(target) == [State.OWED]


def test_the_worker_sends_by_itself(receiver: Receiver, conveyor: Conveyor, plant: Plant) -> None:
    make_target(plant, receiver.address())
    Conveyor.objects.filter(pk=conveyor.pk).update(name="Told")

    owed.run_sending()

    assert receiver.names == ["Told"]
