"""Which deliveries are sent next, and by whom: one worker each, heard of or thought gone.

A claim counts as a try, so that whatever kills a worker each time comes to an end, too.
"""

import uuid
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Min, Q

from plant.models import WebhookDelivery, WebhookTarget
from plant.services import webhook_bodies, webhook_secrets
from plant.webhooks import backoff
from plant.webhooks.answers import Fault

# At once to one target; a target that does not answer is asked for one delivery at a time.
MOST_AT_ONCE = 4
# Longer than a try can take (webhook_posting.WHOLE_S): a worker that is silent for so long is gone.
CLAIMED_FOR = timedelta(seconds=60)


@dataclass(frozen=True)
class Letter:
    """A claimed delivery with all it takes to send it without the database, or why it cannot be."""

    delivery_id: int
    target_id: int
    claim: uuid.UUID
    tries: int
    address: str
    message_id: str
    body: str
    secrets: tuple[str, ...]
    fault: Fault = Fault.NONE


def claim_due(most: int, now: datetime) -> list[Letter]:
    """Up to `most` letters, a few of each target; none of a target that another worker claims."""
    letters: list[Letter] = []
    for target_id in _targets_with_due(now):
        if len(letters) >= most:
            break
        letters += _claim(target_id, most - len(letters), now)
    return letters


def _targets_with_due(now: datetime) -> list[int]:
    """Who waits longest comes first."""
    due = WebhookDelivery.objects.filter(_is_due(now), target__off="").filter(
        Q(target__rests_until__isnull=True) | Q(target__rests_until__lte=now)
    )
    waiting = due.order_by().values("target").annotate(since=Min("next_at"))
    return list(waiting.order_by("since").values_list("target", flat=True))


@transaction.atomic
def _claim(target_id: int, most: int, now: datetime) -> list[Letter]:
    rows = WebhookTarget.objects.select_for_update(of=("self",), skip_locked=True, no_key=True)
    target = rows.select_related("plant", "system").filter(pk=target_id, off="").first()
    if target is None or (target.rests_until is not None and target.rests_until > now):
        return []
    under_way = target.deliveries.filter(claimed_until__gt=now).count()
    may_fly = 1 if target.failures >= backoff.TRIES_BEFORE_REST else MOST_AT_ONCE
    free = min(most, may_fly - under_way)
    if free <= 0:
        return []
    due = target.deliveries.filter(_is_due(now)).first_in_line().order_by("next_at", "number")
    deliveries = list(due[:free])
    for one in deliveries:
        one.claim, one.claimed_until = uuid.uuid4(), now + CLAIMED_FOR
        one.tries += 1
        one.tried_at = now
    WebhookDelivery.objects.bulk_update(deliveries, ["claim", "claimed_until", "tries", "tried_at"])
    return _letters(target, deliveries, now)


def _is_due(now: datetime) -> Q:
    is_free = Q(claimed_until__isnull=True) | Q(claimed_until__lte=now)
    return Q(state=WebhookDelivery.State.OWED, next_at__lte=now) & is_free


def _letters(
    target: WebhookTarget, deliveries: list[WebhookDelivery], now: datetime
) -> list[Letter]:
    if not deliveries:
        return []
    bodies = webhook_bodies.bodies_of(target, deliveries)
    fault = Fault.NONE
    try:
        secrets = tuple(webhook_secrets.of_target(target, now))
    except webhook_secrets.SecretUnreadable:
        secrets, fault = (), Fault.SECRET_UNREADABLE
    return [_letter(target, one, bodies, secrets, fault) for one in deliveries]


def _letter(
    target: WebhookTarget,
    delivery: WebhookDelivery,
    bodies: dict[int, str | Fault],
    secrets: tuple[str, ...],
    fault: Fault,
) -> Letter:
    assert delivery.claim is not None
    body = bodies.get(delivery.number, Fault.CHANGE_NOT_KEPT)
    if isinstance(body, Fault):
        fault, body = body, ""
    elif delivery.tries > backoff.MOST_TRIES:
        fault = Fault.NEVER_ENDED
    return Letter(
        delivery_id=delivery.pk,
        target_id=target.pk,
        claim=delivery.claim,
        tries=delivery.tries,
        address=target.address,
        message_id=str(delivery.message_id),
        body=body,
        secrets=secrets,
        fault=fault,
    )
