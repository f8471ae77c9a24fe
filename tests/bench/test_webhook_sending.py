"""Webhook deliveries to a receiver on this machine: how fast, and what a long line costs.

One sweep as a worker runs it. HOOK_BENCH_WAITING deliveries wait in the long line. The receiver
is a thread of this process, so that both share its time. Nothing is asserted of seconds.
"""

import os
import time
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from plant.models import Conveyor, Feed, FeedChange, Plant, WebhookDelivery, WebhookTarget
from plant.selectors import webhooks
from plant.services import webhook_claiming, webhook_owing, webhook_sending
from tests.plant import factories
from tests.plant.webhooks.receiver import receiving
from tests.plant.webhooks.targets import LOOPBACK, make_target

WAITING = int(os.environ.get("HOOK_BENCH_WAITING", "10000"))
FEW = 200
BELTS = 50


@pytest.mark.bench
@pytest.mark.django_db(transaction=True)
def test_how_fast_webhooks_are_sent_and_what_a_long_line_costs(
    capsys: Any, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.WEBHOOK_PRIVATE_TARGETS = LOOPBACK
    plant = factories.make_plant(code="LT")
    belts = [factories.make_conveyor(plant, tag=f"CV-{one}") for one in range(BELTS)]
    with receiving() as receiver:
        target, _secret = make_target(plant, receiver.address())
        other, _secret = make_target(plant, receiver.address("/other"), name="other")
        _change(plant, belts, FEW // 2)
        few_claim_s, few_backlog_s = _looked_at(target)
        few_rate = _swept(monkeypatch)
        one_by_one = _of_one_row(plant, belts[0], monkeypatch)

        _change(plant, belts, WAITING)
        started = time.perf_counter()
        owed = webhook_owing.owe_changes()
        owing_s = time.perf_counter() - started
        many_claim_s, many_backlog_s = _looked_at(target)
        WebhookDelivery.objects.filter(target=other).delete()
        rate = _swept(monkeypatch)

    with capsys.disabled():
        print(
            f"\n{few_rate:.0f} deliveries/s of {FEW} waiting, {rate:.0f}/s while {WAITING:,} wait: "
            f"ratio {few_rate / rate:.2f}; all of one row, {one_by_one:.0f}/s. "
            f"Claiming four: {few_claim_s * 1e3:.1f} ms, {many_claim_s * 1e3:.1f} ms with "
            f"{WAITING:,}: ratio {many_claim_s / few_claim_s:.2f}. What watchers are told: "
            f"{few_backlog_s * 1e3:.1f} ms, {many_backlog_s * 1e3:.1f} ms. Owing {owed:,} took "
            f"{owing_s / max(owed, 1) * 1e6:.0f} us each."
        )


def _change(plant: Plant, belts: list[Conveyor], count: int) -> None:
    """So many changes of the belts in turn, each by a transaction of its own."""
    for number in range(count):
        row = Conveyor.objects.filter(pk=belts[number % len(belts)].pk)
        row.update(name=f"{number:06}")
    FeedChange.objects.filter(plant=plant, feed=Feed.REGISTER).exists()


def _looked_at(target: WebhookTarget) -> tuple[float, float]:
    """What claiming the next few takes, undone again, and reading the backlog."""
    webhook_owing.owe_changes()
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE plant_webhookdelivery")
    claim_s, backlog_s = [], []
    for _turn in range(5):
        started = time.perf_counter()
        letters = webhook_claiming.claim_due(4, timezone.now())
        claim_s.append(time.perf_counter() - started)
        ids = [one.delivery_id for one in letters]
        WebhookDelivery.objects.filter(pk__in=ids).update(claim=None, claimed_until=None, tries=0)
        started = time.perf_counter()
        webhooks.backlog()
        backlog_s.append(time.perf_counter() - started)
    return sorted(claim_s)[2], sorted(backlog_s)[2]


def _of_one_row(plant: Plant, belt: Conveyor, monkeypatch: pytest.MonkeyPatch) -> float:
    WebhookDelivery.objects.all().delete()
    _change(plant, [belt], FEW // 2)
    return _swept(monkeypatch)


def _swept(monkeypatch: pytest.MonkeyPatch) -> float:
    """Deliveries a second of one sweep."""
    monkeypatch.setattr(webhook_sending, "SWEEP_S", 10.0)
    started = time.perf_counter()
    done = webhook_sending.send_owed()
    return done / (time.perf_counter() - started)
