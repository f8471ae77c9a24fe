"""Keys that live on: what they may do changed, their secret replaced with an overlap."""

import logging
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import ApiKey, ConnectedSystem, KeyLogEntry, User
from plant.services.keys import (
    check_end,
    check_system,
    checked_scopes,
    keep_in_log,
    locked_key,
)
from plant.services.register_refusals import StaleForm

logger = logging.getLogger(__name__)


class FormerSecretWorksStill(DomainError):
    code = "former_secret_works_still"


class OverlapEndsInThePast(DomainError):
    code = "overlap_ends_in_the_past"


class NoFormerSecret(DomainError):
    code = "no_former_secret"


@transaction.atomic
def change_key(
    *,
    prefix: str,
    version: int,
    name: str,
    scopes: Iterable[str],
    expires_at: datetime | None,
    requests_per_minute: int | None,
    by: User,
    now: datetime,
    system: ConnectedSystem | None = None,
) -> ApiKey:
    """Change what a key is called and may do; it holds from the next request on.

    Refuses with StaleForm, KeyIsRevoked, KeyNeedsScope, KeyExpiresInThePast and
    SystemOfAnotherPlant.
    """
    key = locked_key(prefix)
    if key.version != version:
        raise StaleForm(key)
    if expires_at != key.expiry_date:
        check_end(expires_at, now)
    check_system(system, key.plant_id)
    before = _told(key)
    key.name, key.scopes, key.expiry_date = name, checked_scopes(scopes), expires_at
    key.requests_per_minute, key.system = requests_per_minute, system
    after = _told(key)
    changed = [field for field in after if after[field] != before[field]]
    if changed:
        key.version += 1
        key.save(update_fields=[*changed, "version"])
        old, new = ({field: one[field] for field in changed} for one in (before, after))
        keep_in_log(key, KeyLogEntry.What.CHANGED, by, old, new)
        logger.info("API key %s changed by %s: %s.", key.prefix, by, ", ".join(changed))
    return key


@transaction.atomic
def replace_secret(
    *, prefix: str, former_until: datetime | None, by: User, now: datetime
) -> tuple[ApiKey, str]:
    """Give a key a new secret and return both; the former one works until then, or no more.

    Refuses with KeyIsRevoked, OverlapEndsInThePast, and FormerSecretWorksStill while there are
    two already: a third would take one away from a system that uses it.
    """
    key = locked_key(prefix)
    if former_works(key, now):
        raise FormerSecretWorksStill(
            _("The secret before this one works still. End it first, then replace again.")
        )
    if former_until is not None and former_until <= now:
        raise OverlapEndsInThePast(_("Give a day that is to come, or let the old secret end now."))
    generator = ApiKey.objects.key_generator
    secret = f"{key.prefix}.{generator.get_secret_key()}"
    key.former_hashed_key, key.hashed_key = key.hashed_key, generator.hash(secret)
    key.former_until, key.former_used_at = former_until or now, None
    key.version += 1
    key.save()
    told = {"former_until": former_until.isoformat() if former_until else None}
    keep_in_log(key, KeyLogEntry.What.REPLACED, by, new=told)
    logger.info("Secret of API key %s replaced by %s.", key.prefix, by)
    return key, secret


@transaction.atomic
def end_former_secret(*, prefix: str, by: User, now: datetime) -> ApiKey:
    """Let the former secret end before its day; refuses with NoFormerSecret and KeyIsRevoked."""
    key = locked_key(prefix)
    if not former_works(key, now):
        raise NoFormerSecret(_("There is no former secret that works."))
    key.former_until = now
    key.version += 1
    key.save(update_fields=["former_until", "version"])
    keep_in_log(key, KeyLogEntry.What.FORMER_ENDED, by)
    logger.info("Former secret of API key %s ended by %s.", key.prefix, by)
    return key


def former_works(key: ApiKey, now: datetime) -> bool:
    return key.former_until is not None and key.former_until > now


def _told(key: ApiKey) -> dict[str, Any]:
    """By the names of the fields, as JSON holds them."""
    return {
        "name": key.name,
        "system": key.system.name if key.system else None,
        "scopes": sorted(key.scopes),
        "expiry_date": key.expiry_date.isoformat() if key.expiry_date else None,
        "requests_per_minute": key.requests_per_minute,
    }
