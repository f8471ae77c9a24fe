"""Keys of outside systems: made, used, revoked. The secret is seen once, by whoever makes it."""

import logging
from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import ApiKey, ConnectedSystem, Plant, User

logger = logging.getLogger(__name__)

# A busy system asks many times a second; the page needs to know the minute.
_NOTE_USE_EVERY = timedelta(minutes=1)


class KeyNeedsScope(DomainError):
    code = "key_needs_scope"


class KeyExpiresInThePast(DomainError):
    code = "key_expires_in_the_past"


class KeyIsRevoked(DomainError):
    code = "key_is_revoked"


class SystemOfAnotherPlant(DomainError):
    code = "system_of_another_plant"


@transaction.atomic
def make_key(
    *,
    name: str,
    plant: Plant,
    scopes: Iterable[str],
    expires_at: datetime | None,
    by: User | None,
    now: datetime,
    system: ConnectedSystem | None = None,
) -> tuple[ApiKey, str]:
    """Make a key for one plant and return it with its secret, which is kept only as a digest.

    A key of a connected system speaks its words. Refuses with KeyNeedsScope, KeyExpiresInThePast
    and SystemOfAnotherPlant.
    """
    wanted = sorted(set(scopes))
    if not wanted:
        raise KeyNeedsScope(_("Say what the key may do: tick at least one."))
    if expires_at is not None and expires_at <= now:
        raise KeyExpiresInThePast(_("The key would have expired already. Give a later day."))
    if system is not None and system.plant_id != plant.pk:
        raise SystemOfAnotherPlant(_("This system is connected to another plant."))
    key = ApiKey(
        name=name,
        plant=plant,
        system=system,
        scopes=wanted,
        expiry_date=expires_at,
        made_by=by,
    )
    secret = ApiKey.objects.assign_key(key)
    key.save()
    logger.info("API key %s for %s made by %s.", key.prefix, plant.code, by)
    return key, secret


@transaction.atomic
def revoke_key(*, prefix: str, by: User) -> ApiKey:
    """Revoke a key at once and for good; refuses with KeyIsRevoked."""
    key = ApiKey.objects.select_for_update().get(prefix=prefix)
    if key.revoked:
        raise KeyIsRevoked(_("This key was revoked before. Make a new one if it is needed."))
    key.revoked = True
    key.save(update_fields=["revoked"])
    logger.info("API key %s of %s revoked by %s.", key.prefix, key.plant_id, by)
    return key


def key_with_secret(secret: str) -> ApiKey | None:
    """The key a secret belongs to, whether or not it may still be used; None for a stranger's."""
    prefix = secret.partition(".")[0]
    if not prefix or "\x00" in prefix:
        return None
    key = ApiKey.objects.select_related("plant", "system").filter(prefix=prefix).first()
    return key if key is not None and key.is_valid(secret) else None


def note_use(*, key: ApiKey, now: datetime) -> None:
    """Remember when a key was last used, to the minute: reads must not queue behind writes."""
    stale = now - _NOTE_USE_EVERY
    if key.last_used_at is None or key.last_used_at <= stale:
        old = Q(last_used_at__isnull=True) | Q(last_used_at__lte=stale)
        ApiKey.objects.filter(old, pk=key.pk).update(last_used_at=now)
