"""What a person does about single deliveries: send again, give up, take that back."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import WebhookDelivery

State = WebhookDelivery.State


class UnderWay(DomainError):
    code = "delivery_under_way"


class NothingToDo(DomainError):
    code = "nothing_to_do"


@transaction.atomic
def send_again(*, delivery_id: int, now: datetime) -> WebhookDelivery:
    """Owe it anew, with all its tries and the same id; refuses with UnderWay and NothingToDo."""
    delivery = _locked(delivery_id, now)
    if delivery.state == State.OWED and delivery.next_at <= now:
        raise NothingToDo(_("It is sent as soon as it is its turn."))
    _owe(delivery, now)
    return delivery


@transaction.atomic
def give_up(*, delivery_id: int, now: datetime) -> WebhookDelivery:
    """Send it no more and let the later changes of its row go on; `send_again` takes it back."""
    delivery = _locked(delivery_id, now)
    if delivery.state not in WebhookDelivery.UNFINISHED:
        raise NothingToDo(_("It is neither to be sent nor set aside any more."))
    delivery.state, delivery.ended_at = State.GIVEN_UP, now
    delivery.save(update_fields=["state", "ended_at"])
    return delivery


@transaction.atomic
def send_all_parked(*, target_id: int, now: datetime) -> int:
    """Owe everything that was set aside anew; returns how much that was."""
    parked = WebhookDelivery.objects.filter(target_id=target_id, state=State.PARKED)
    return parked.update(state=State.OWED, tries=0, next_at=now, claim=None, claimed_until=None)


@transaction.atomic
def give_up_all_parked(*, target_id: int, now: datetime) -> int:
    """Send nothing of what was set aside, so that what waits behind it goes on; returns how much.

    Set aside and no longer kept, thousands of them would hold up the target for good.
    """
    parked = WebhookDelivery.objects.filter(target_id=target_id, state=State.PARKED)
    return parked.update(state=State.GIVEN_UP, ended_at=now)


def _owe(delivery: WebhookDelivery, now: datetime) -> None:
    delivery.state, delivery.tries, delivery.next_at = State.OWED, 0, now
    delivery.claim = delivery.claimed_until = delivery.ended_at = None
    delivery.save(update_fields=["state", "tries", "next_at", "claim", "claimed_until", "ended_at"])


def _locked(delivery_id: int, now: datetime) -> WebhookDelivery:
    delivery = WebhookDelivery.objects.select_for_update(no_key=True).get(pk=delivery_id)
    if delivery.is_under_way(now):
        raise UnderWay(_("It is being sent just now. Look again in a minute."))
    return delivery
