"""Targets and changes, as tests want them."""

from typing import Any

from django.utils import timezone

from plant.models import ChangeKind, Conveyor, Feed, Plant, WebhookDelivery, WebhookTarget
from plant.services import keeping_webhooks, webhook_sending
from plant.services.keeping_webhooks import Told
from plant.webhooks.networks import Allowed, read_allowed

State = WebhookDelivery.State
LOOPBACK: Allowed = read_allowed(["127.0.0.1", "receiver.plant.example"])


def make_target(plant: Plant, address: str, **told: Any) -> tuple[WebhookTarget, str]:
    kinds = {"feeds": [Feed.REGISTER.value], "kinds": ChangeKind.values, "name": "stores", **told}
    return keeping_webhooks.make_target(
        plant=plant, told=Told(address=address, **kinds), by=None, now=timezone.now()
    )


def rename(conveyor: Conveyor, *names: str) -> None:
    """Each name is a change of its own in the feed of the register."""
    for name in names:
        Conveyor.objects.filter(pk=conveyor.pk).update(name=name)
        webhook_sending.webhook_owing.owe_changes()


def send_now(times: int = 1) -> None:
    """As if all pauses were over."""
    for _ in range(times):
        WebhookDelivery.objects.filter(state=State.OWED).update(next_at=timezone.now())
        WebhookTarget.objects.update(rests_until=None)
        webhook_sending.send_owed()


def states(target: WebhookTarget) -> list[str]:
    return [one.state for one in target.deliveries.order_by("number")]
