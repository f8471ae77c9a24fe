"""Systems that an invented plant tells by webhook, and what came of the latest changes."""

from datetime import datetime, timedelta
from typing import Any

from plant.models import (
    ChangeKind,
    ConnectedSystem,
    FeedChange,
    Plant,
    WebhookDelivery,
    WebhookTarget,
)
from plant.roles import Role
from plant.selectors import feed_pages
from plant.services import feed_numbering, webhook_secrets
from plant.webhooks import backoff
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read

State = WebhookDelivery.State


def tell_systems(plant: Plant, cast: Cast, now: datetime) -> None:
    """Nothing is sent: the log is written as if it had been."""
    for said in read("webhooks.yaml")["webhooks"]:
        if said["plant"] == plant.code:
            feed_numbering.number_owed()
            _write_log(_target(plant, cast, said, now), said, now)


def _target(plant: Plant, cast: Cast, said: dict[str, Any], now: datetime) -> WebhookTarget:
    made_at = now - timedelta(days=said["days_ago"])
    last = feed_pages.standing().last
    target = WebhookTarget.objects.create(
        plant=plant,
        name=said["name"],
        address=said["address"],
        feeds=said["feeds"],
        kinds=ChangeKind.values,
        system=ConnectedSystem.objects.filter(plant=plant, name=said["system"]).first(),
        made_at=made_at,
        made_by=cast.by_role[Role.ADMINISTRATOR][0],
        read_through=last.number,
        read_at=last.at,
        taken_at=now,
    )
    webhook_secrets.add(target, made_at)
    return target


def _write_log(target: WebhookTarget, said: dict[str, Any], now: datetime) -> None:
    changes = FeedChange.objects.filter(plant_id=target.plant_id, feed__in=target.feeds)
    latest = list(changes.order_by("-number").defer("record")[: said["sent"]])
    refused = {one["back"]: (State.PARKED, one) for one in said["refused"]}
    refused |= {one["back"]: (State.GIVEN_UP, one) for one in said["given_up"]}
    WebhookDelivery.objects.bulk_create(
        _delivery(target, change, now, *refused.get(back, (State.SENT, {})))
        for back, change in enumerate(latest, start=1)
    )


def _delivery(
    target: WebhookTarget, change: FeedChange, now: datetime, state: str, answer: dict[str, Any]
) -> WebhookDelivery:
    return WebhookDelivery(
        target=target,
        number=change.number,
        numbered_at=change.numbered_at,
        feed=change.feed,
        of=change.of,
        row_id=change.row_id,
        key=change.key,
        kind=change.kind,
        state=state,
        tries=backoff.MOST_TRIES if answer else 1,
        next_at=now,
        made_at=now,
        tried_at=now,
        ended_at=None if state == State.PARKED else now,
        status=answer.get("status", 204),
        said=answer.get("said", ""),
    )
