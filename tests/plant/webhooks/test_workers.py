"""Several workers, some of them killed: each change at least once, those of a row in order."""

import random
import subprocess
import sys
import threading
import time
from collections import defaultdict
from pathlib import Path
from urllib.parse import quote

import pytest
from django.db import connection, connections
from django.utils import timezone

from plant.models import Conveyor, Plant
from plant.services import webhook_claiming, webhook_sending
from plant.webhooks.answers import Answer
from tests.plant import factories
from tests.plant.webhooks import receiver as receivers
from tests.plant.webhooks import sender_alone
from tests.plant.webhooks.receiver import Receiver
from tests.plant.webhooks.targets import State, make_target, rename, send_now, states

SECONDS, LIVES_S = 40, 8
ROOT = Path(__file__).parents[3]


@pytest.mark.django_db
def test_what_a_killed_worker_held_is_sent_by_the_next_one_under_the_same_id(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    rename(conveyor, "one", "two")
    [held] = webhook_claiming.claim_due(10, timezone.now())
    # Nobody else is at it, nor at what waits behind it, before the claim has lapsed.
    webhook_sending.send_owed()
    assert not receiver.got

    target.deliveries.update(claimed_until=timezone.now())
    send_now()

    assert receiver.names == ["one", "two"]
    assert receiver.got[0].message_id == held.message_id


@pytest.mark.django_db
def test_what_a_worker_says_late_does_not_undo_what_another_one_did(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    rename(conveyor, "one")
    [late] = webhook_claiming.claim_due(10, timezone.now())
    target.deliveries.update(claimed_until=timezone.now())
    [now] = webhook_claiming.claim_due(10, timezone.now())

    webhook_sending.note(late, Answer(500))
    assert target.deliveries.get().claim == now.claim
    webhook_sending.note(now, Answer(204))
    webhook_sending.note(late, Answer(500))

    assert states(target) == [State.SENT]


@pytest.mark.django_db(transaction=True)
def test_two_workers_at_once_send_each_message_once_and_rows_in_order(
    receiver: Receiver, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    rows = [factories.make_conveyor(plant, tag=f"CV-{number}") for number in range(6)]
    for turn in ("1", "2", "3"):
        for row in rows:
            rename(row, turn)

    def work() -> None:
        webhook_sending.send_owed()
        connections.close_all()

    workers = [threading.Thread(target=work) for _ in range(2)]
    for one in workers:
        one.start()
    for one in workers:
        one.join()
    send_now()

    assert set(states(target)) == {State.SENT}
    ids = [one.message_id for one in receiver.got]
    assert len(ids) == len(set(ids)) == target.deliveries.count()
    told = _names_by_tag(receiver)
    assert all(names[-3:] == ["1", "2", "3"] for names in told.values())
    assert len(told) == len(rows)


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_workers_killed_at_random_lose_nothing_and_keep_each_rows_order(
    receiver: Receiver, plant: Plant
) -> None:
    target, _secret = make_target(plant, receiver.address())
    rows = [factories.make_conveyor(plant, tag=f"CV-{number}") for number in range(8)]
    chance = random.Random(20261129)
    receiver.answers = lambda handler, _asked: _moody(handler, random.Random())
    workers = [_start() for _ in range(2)]
    try:
        until = time.monotonic() + SECONDS
        turn, kill_at = 0, time.monotonic() + LIVES_S
        while time.monotonic() < until:
            turn += 1
            Conveyor.objects.filter(pk=chance.choice(rows).pk).update(name=f"{turn:06}")
            time.sleep(0.1)
            if time.monotonic() > kill_at:
                kill_at += chance.uniform(0.5, 1) * LIVES_S
                victim = workers.pop(0)
                victim.kill()
                victim.wait()
                workers.append(_start())
        receiver.answers = receivers.statuses(204)
        last = {row.tag: row.name for row in Conveyor.objects.all()}
        _wait_until_told(receiver, last)
    finally:
        for one in workers:
            one.kill()
            one.wait()

    told = _names_by_tag(receiver)
    assert {tag: names[-1] for tag, names in told.items()} == last
    for names in told.values():
        first_told = [name for name in dict.fromkeys(names) if name.isdigit()]
        assert first_told == sorted(first_told)
    ids = {one.message_id for one in receiver.got}
    assert len(ids) == target.deliveries.count() > 100


def _moody(handler: receivers.Handler, chance: random.Random) -> None:
    if chance.random() < 0.1:
        time.sleep(chance.uniform(0, 0.5))
    handler.say(500 if chance.random() < 0.1 else 204)


def _names_by_tag(receiver: Receiver) -> dict[str, list[str]]:
    told: dict[str, list[str]] = defaultdict(list)
    for one in receiver.got:
        record = one.change["record"]
        told[record["tag"]].append(record["name"])
    return told


def _wait_until_told(receiver: Receiver, last: dict[str, str]) -> None:
    """And a little longer, for whatever would come too late."""
    give_up_at = time.monotonic() + 120
    while time.monotonic() < give_up_at:
        time.sleep(1)
        if {tag: names[-1] for tag, names in _names_by_tag(receiver).items()} == last:
            time.sleep(5)
            return


def _start() -> "subprocess.Popen[bytes]":
    params = connection.get_connection_params()
    database = (
        f"postgresql://{quote(params['user'])}@/{params['dbname']}?host={quote(params['host'])}"
    )
    return subprocess.Popen(
        [sys.executable, "-m", sender_alone.__name__, database], cwd=ROOT, stdin=subprocess.PIPE
    )
