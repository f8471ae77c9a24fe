"""Webhook targets: entered, changed, given new secrets, paused, taken up again, deleted."""

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import ApiKey, ConnectedSystem, FeedChange, Plant, User, WebhookTarget
from plant.selectors import feed_pages
from plant.selectors.feed_pages import Place
from plant.services import feed_reading, webhook_posting, webhook_secrets
from plant.webhook_words import FAULT_WORDS, HOW_TO_ALLOW, OBJECTION_WORDS
from plant.webhooks import addresses

logger = logging.getLogger(__name__)

# Each is asked at least every few seconds; more at one plant is a list of everybody's tries.
MOST_OF_A_PLANT = 20
# Each signature stands in a header, and receivers look at all of them.
MOST_SECRETS = 4


class WebhookNameTaken(DomainError):
    code = "webhook_name_taken"


class WebhookAddressRefused(DomainError):
    code = "webhook_address_refused"


class NotOfThisPlant(DomainError):
    code = "not_of_this_plant"


class TooManyWebhooks(DomainError):
    code = "too_many_webhooks"


class WebhookChangedMeanwhile(DomainError):
    code = "webhook_changed_meanwhile"


class TooManySecrets(DomainError):
    code = "too_many_secrets"


class AlreadySo(DomainError):
    code = "already_so"


@dataclass(frozen=True)
class Told:
    """What an administrator says about a target."""

    name: str
    address: str
    feeds: list[str]
    kinds: list[str]
    system: ConnectedSystem | None = None
    spared_key: ApiKey | None = None


def make_target(
    *, plant: Plant, told: Told, by: User | None, now: datetime
) -> tuple[WebhookTarget, str]:
    """Enter a target and return it with its secret; it is told what changes from now on.

    Refuses with WebhookAddressRefused, NotOfThisPlant, WebhookNameTaken and TooManyWebhooks.
    """
    _check(told, plant.pk)
    begin = feed_reading.now_in_feed()
    try:
        with transaction.atomic():
            # Of two who enter the last one together, one has to be too late.
            Plant.objects.select_for_update(no_key=True).get(pk=plant.pk)
            if plant.webhook_targets.count() >= MOST_OF_A_PLANT:
                raise TooManyWebhooks(
                    _("A plant may have %(most)d webhooks. Delete one that is no longer used.")
                    % {"most": MOST_OF_A_PLANT}
                )
            target = WebhookTarget(plant=plant, made_by=by, made_at=now, **_fields(told))
            target.read_through, target.read_at = begin.number, begin.at
            target.save()
            secret = webhook_secrets.add(target, now)
    except IntegrityError as error:
        raise _name_taken(error) from error
    logger.info("Webhook %s for plant %s made by %s.", target.pk, plant.pk, by and by.pk)
    return target, secret


def change_target(*, target_id: int, told: Told, version: int) -> WebhookTarget:
    """Change what is told and where to; what is already owed goes to the new address.

    Refuses as `make_target` does, and with WebhookChangedMeanwhile.
    """
    # Asks the name service, hence before anything is locked.
    _check(told, WebhookTarget.objects.values_list("plant", flat=True).get(pk=target_id))
    try:
        with transaction.atomic():
            target = _locked(target_id)
            if target.version != version:
                raise WebhookChangedMeanwhile(
                    _("Somebody changed this webhook meanwhile. Look at it again, then change it.")
                )
            for name, value in _fields(told).items():
                setattr(target, name, value)
            target.version += 1
            # Whatever kept the old address from answering says nothing about the new one.
            target.failures, target.rests_until = 0, None
            target.save()
    except IntegrityError as error:
        raise _name_taken(error) from error
    return target


@transaction.atomic
def change_secret(*, target_id: int, overlap: timedelta, now: datetime) -> str:
    """A new secret, shown once; until `overlap` is over the earlier ones sign beside it."""
    target = _locked(target_id)
    webhook_secrets.end_earlier(target, now, overlap)
    if overlap and target.secrets.count() >= MOST_SECRETS:
        raise TooManySecrets(
            _("Several earlier secrets still sign. Let them end, or end them all now.")
        )
    secret = webhook_secrets.add(target, now)
    logger.info("Webhook %s has a new secret.", target.pk)
    return secret


@transaction.atomic
def pause(*, target_id: int, now: datetime) -> WebhookTarget:
    """Send nothing more until it is taken up again; refuses with AlreadySo."""
    target = _locked(target_id)
    if target.off:
        raise AlreadySo(_("Nothing is sent there already."))
    target.off, target.off_at = WebhookTarget.Off.PAUSED, now
    target.save(update_fields=["off", "off_at"])
    return target


@transaction.atomic
def resume(*, target_id: int) -> bool:
    """Send again from where it stopped; refuses with AlreadySo.

    False when changes in between are no longer kept: then it goes on with what is to come.
    """
    target = _locked(target_id)
    if not target.off:
        raise AlreadySo(_("Changes are sent there already."))
    known = feed_pages.standing()
    seen = Place(target.read_through, target.read_at)
    changes = FeedChange.objects.filter(plant_id=target.plant_id)
    is_whole = feed_reading.is_kept(changes, seen, known)
    if not is_whole:
        target.read_through, target.read_at = known.last.number, known.last.at
    target.off, target.off_at = "", None
    target.failures, target.rests_until = 0, None
    target.save()
    return is_whole


@transaction.atomic
def delete_target(*, target_id: int) -> None:
    """With its secrets and all that was owed to it."""
    _locked(target_id).delete()
    logger.info("Webhook %s was deleted.", target_id)


def _check(told: Told, plant_id: int) -> None:
    """Names may lead elsewhere tomorrow: what is sent is looked at again each time."""
    for row in (told.system, told.spared_key):
        if row is not None and row.plant_id != plant_id:
            raise NotOfThisPlant(_("System and key must be of the same plant as the webhook."))
    try:
        fault = webhook_posting.may_be_entered(told.address, settings.WEBHOOK_PRIVATE_TARGETS)
    except addresses.BadAddress as bad:
        raise WebhookAddressRefused(str(OBJECTION_WORDS[bad.objection])) from bad
    if fault:
        raise WebhookAddressRefused(f"{FAULT_WORDS[fault]} {HOW_TO_ALLOW}")


def _locked(target_id: int) -> WebhookTarget:
    return WebhookTarget.objects.select_for_update().get(pk=target_id)


def _fields(told: Told) -> dict[str, object]:
    return {
        "name": told.name,
        "address": told.address,
        "feeds": told.feeds,
        "kinds": told.kinds,
        "system": told.system,
        "spared_key": told.spared_key,
    }


def _name_taken(error: IntegrityError) -> Exception:
    if "webhook_name_once_a_plant" not in str(error):
        return error
    return WebhookNameTaken(_("Another webhook of this plant has that name. Give another one."))
