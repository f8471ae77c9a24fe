"""The sweep that sends what is owed: several letters in the air, none of them in a transaction.

Only the sweep's own thread talks to the database; the others post and nothing else. A worker that
is killed leaves claims that lapse, and its letters are sent again: at least once.
"""

import logging
import random
import time
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db.models import F, Q
from django.utils import timezone

from plant import owed
from plant.models import WebhookDelivery, WebhookTarget
from plant.services import slots, webhook_claiming, webhook_owing, webhook_posting
from plant.services.webhook_claiming import Letter
from plant.webhooks import backoff, signatures
from plant.webhooks.answers import Answer, Fault

logger = logging.getLogger(__name__)

# In the air at once, all targets together.
MOST_THREADS = 16
# Sweeps of the site at the same time. A broker wakes one every two seconds, and while there is
# something to send each lasts for many: without a bound they would take all of its workers.
MOST_SENDERS = 2
# A sweep begins nothing new after it, and ends once all have landed.
SWEEP_S = 20.0
LOOK_AGAIN_S = 1.0
# What was taken or given up stays in the log for so long.
LOG_KEPT = timedelta(days=30)
# The page needs to know the minute; the row need not be written with every letter.
_NOTE_TAKEN_EVERY = timedelta(minutes=1)


def send_owed() -> int:
    """Owe what changed and send what is due; returns how many deliveries were tried.

    Does nothing while MOST_SENDERS others are at it.
    """
    if not WebhookTarget.objects.filter(off="").exists():
        return 0
    with slots.one_of("webhooks are sent", MOST_SENDERS) as is_free:
        return _send_owed() if is_free else 0


def _send_owed() -> int:
    until = time.monotonic() + SWEEP_S
    flying: dict[Future[Answer], Letter] = {}
    done = 0
    looked_at = float("-inf")
    with ThreadPoolExecutor(MOST_THREADS, thread_name_prefix="webhook") as pool:
        while True:
            if time.monotonic() < until and not owed.is_ending():
                if time.monotonic() - looked_at >= LOOK_AGAIN_S:
                    looked_at = time.monotonic()
                    webhook_owing.owe_changes()
                now = timezone.now()
                for letter in webhook_claiming.claim_due(MOST_THREADS - len(flying), now):
                    flying[pool.submit(_post, letter)] = letter
            if not flying:
                return done
            landed, _still = wait(flying, timeout=LOOK_AGAIN_S, return_when=FIRST_COMPLETED)
            for one in landed:
                note(flying.pop(one), _answer_of(one))
                done += 1


def forget_old_deliveries() -> int:
    """For the worker: what ended long ago leaves the log."""
    old = WebhookDelivery.objects.filter(ended_at__lt=timezone.now() - LOG_KEPT)
    some = list(old.order_by("ended_at").values_list("pk", flat=True)[:5000])
    return WebhookDelivery.objects.filter(pk__in=some).delete()[0] if some else 0


def note(letter: Letter, answer: Answer) -> None:
    """Keep what came of a letter, on its delivery and on its target."""
    now = timezone.now()
    if answer.is_taken:
        _note_taken(letter, answer, now)
    else:
        _note_failed(letter, answer, now)


def _post(letter: Letter) -> Answer:
    if letter.fault:
        return Answer(fault=letter.fault)
    now = timezone.now()
    headers = signatures.signed(letter.message_id, now, letter.body, letter.secrets)
    return webhook_posting.post(
        letter.address, headers, letter.body.encode(), settings.WEBHOOK_PRIVATE_TARGETS
    )


def _answer_of(landed: "Future[Answer]") -> Answer:
    try:
        return landed.result()
    except Exception:
        # A defect of ours; the delivery is tried again and parked in the end.
        logger.exception("A webhook could not be posted.")
        return Answer(fault=Fault.BROKEN_OFF)


def _note_taken(letter: Letter, answer: Answer, now: datetime) -> None:
    # Even if the claim has lapsed: it was taken, and need not be sent again.
    owed_still = WebhookDelivery.objects.filter(
        pk=letter.delivery_id, state=WebhookDelivery.State.OWED
    )
    owed_still.update(state=WebhookDelivery.State.SENT, ended_at=now, **_told(answer))
    target = WebhookTarget.objects.filter(pk=letter.target_id)
    stale = Q(taken_at__isnull=True) | Q(taken_at__lte=now - _NOTE_TAKEN_EVERY)
    target.filter(stale | Q(failures__gt=0) | Q(rests_until__isnull=False)).update(
        failures=0, rests_until=None, taken_at=now
    )


def _note_failed(letter: Letter, answer: Answer, now: datetime) -> None:
    # Not where the claim has lapsed: whoever is at it now will say.
    mine = WebhookDelivery.objects.filter(
        pk=letter.delivery_id, state=WebhookDelivery.State.OWED, claim=letter.claim
    )
    pause = backoff.pause_s(letter.tries, random.random(), answer.asked_s)  # noqa: S311  # nosec
    if pause is None or answer.needs_a_person:
        mine.update(state=WebhookDelivery.State.PARKED, **_told(answer))
        logger.warning("A delivery to webhook %s was set aside.", letter.target_id)
    else:
        mine.update(next_at=now + timedelta(seconds=pause), **_told(answer))
    target = WebhookTarget.objects.filter(pk=letter.target_id, off="")
    if answer.is_gone:
        target.update(off=WebhookTarget.Off.GONE, off_at=now)
        logger.warning("Webhook %s is gone, says its receiver; it is off.", letter.target_id)
    elif answer.is_about_the_target and not answer.needs_a_person:
        _let_rest(letter.target_id, answer, now)


def _let_rest(target_id: int, answer: Answer, now: datetime) -> None:
    row = WebhookTarget.objects.filter(pk=target_id)
    row.update(failures=F("failures") + 1)
    failures = row.values_list("failures", flat=True).first() or 0
    rest = backoff.rest_s(failures, answer.asked_s)
    if rest:
        row.update(rests_until=now + timedelta(seconds=rest))


def _told(answer: Answer) -> dict[str, Any]:
    return {
        "claim": None,
        "claimed_until": None,
        "status": answer.status,
        "fault": answer.fault.value,
        "said": answer.said,
    }
