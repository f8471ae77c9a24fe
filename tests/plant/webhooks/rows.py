"""A target and a delivery for tests of pages, which send nothing."""

from typing import Any

from django.utils import timezone

from plant.models import ChangeKind, Feed, Plant, WebhookDelivery, WebhookTarget
from plant.services import webhook_secrets


def make_row(plant: Plant, name: str = "stores system", **given: Any) -> WebhookTarget:
    now = timezone.now()
    target = WebhookTarget.objects.create(
        plant=plant,
        name=name,
        made_at=now,
        **{
            "address": "https://stores.example/changes",
            "feeds": [Feed.WORK_ORDERS.value],
            "kinds": ChangeKind.values,
            **given,
        },
    )
    webhook_secrets.add(target, now)
    return target


def make_delivery(
    plant: Plant, target: WebhookTarget | None = None, number: int = 4815, **given: Any
) -> WebhookDelivery:
    now = timezone.now()
    return WebhookDelivery.objects.create(
        target=target or make_row(plant),
        number=number,
        numbered_at=now,
        next_at=now,
        **{
            "made_at": now,
            "feed": Feed.WORK_ORDERS.value,
            "of": "work_order",
            "row_id": 42,
            "key": "LT-W-0042",
            "kind": ChangeKind.CHANGED.value,
            **given,
        },
    )
