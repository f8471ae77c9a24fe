"""One letter at once, to see whether a receiver takes it; nothing is kept of it."""

import uuid
from datetime import UTC, datetime

import orjson
from django.conf import settings

from plant.models import FeedChange, WebhookTarget
from plant.selectors import feed_entries, feed_pages, wordings
from plant.services import webhook_bodies, webhook_posting, webhook_secrets
from plant.webhooks import signatures
from plant.webhooks.answers import Answer, Fault


def try_now(*, target: WebhookTarget, now: datetime) -> tuple[str, Answer]:
    """Send the latest change of the target's feeds once more, or an example where there is none.

    Returns what was sent and what came of it. Outside of any transaction: it may take seconds.
    """
    body = _sample(target, now)
    if isinstance(body, Fault):
        return "", Answer(fault=body)
    try:
        secrets = webhook_secrets.of_target(target, now)
    except webhook_secrets.SecretUnreadable:
        return body, Answer(fault=Fault.SECRET_UNREADABLE)
    headers = signatures.signed(f"trial-{uuid.uuid4()}", now, body, secrets)
    allowed = settings.WEBHOOK_PRIVATE_TARGETS
    return body, webhook_posting.post(target.address, headers, body.encode(), allowed)


def _sample(target: WebhookTarget, now: datetime) -> str | Fault:
    wording = wordings.wording_of(target.system)
    for feed in target.feeds:
        changes = FeedChange.objects.filter(plant_id=target.plant_id, feed=feed)
        last = changes.order_by("-number").values_list("number", "numbered_at").first()
        if last is not None:
            number, at = last
            row = feed_pages.changes_by_number(changes, [number], at)[number]
            return webhook_bodies.body_of(row, target.plant.code, wording, set())
    at_text = now.astimezone(UTC).strftime("%Y-%m-%d %H:%M:%S+00")
    made_up = (0, at_text, at_text, "added", "trial", "TRIAL", "", "", "{}")
    return orjson.dumps(feed_entries.entry_of(made_up, target.plant.code)).decode()
