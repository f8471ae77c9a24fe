"""Keys of outside systems: made, used, revoked. The secret is seen once, by whoever makes it."""

import logging
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import ApiKey, ConnectedSystem, KeyLogEntry, Plant, User

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
    requests_per_minute: int | None = None,
) -> tuple[ApiKey, str]:
    """Make a key for one plant and return it with its secret, which is kept only as a digest.

    A key of a connected system speaks its words. Refuses with KeyNeedsScope, KeyExpiresInThePast
    and SystemOfAnotherPlant.
    """
    wanted = checked_scopes(scopes)
    check_end(expires_at, now)
    check_system(system, plant.pk)
    key = ApiKey(
        name=name,
        plant=plant,
        system=system,
        scopes=wanted,
        expiry_date=expires_at,
        requests_per_minute=requests_per_minute,
        made_by=by,
    )
    secret = ApiKey.objects.assign_key(key)
    key.save()
    keep_in_log(key, KeyLogEntry.What.MADE, by)
    logger.info("API key %s for %s made by %s.", key.prefix, plant.code, by)
    return key, secret


@transaction.atomic
def revoke_key(*, prefix: str, by: User) -> ApiKey:
    """Revoke a key at once and for good; refuses with KeyIsRevoked."""
    key = locked_key(prefix)
    key.revoked = True
    key.version += 1
    key.save(update_fields=["revoked", "version"])
    keep_in_log(key, KeyLogEntry.What.REVOKED, by)
    logger.info("API key %s of %s revoked by %s.", key.prefix, key.plant_id, by)
    return key


def key_with_secret(secret: str, now: datetime) -> tuple[ApiKey, bool] | None:
    """The key a secret belongs to, whether or not it may still be used; None for a stranger's.

    The second says that it is the secret before the one the key has now.
    """
    prefix = secret.partition(".")[0]
    if not prefix or "\x00" in prefix:
        return None
    key = ApiKey.objects.select_related("plant", "system").filter(prefix=prefix).first()
    if key is None:
        return None
    if key.is_valid(secret):
        return key, False
    former = key.former_hashed_key
    is_former = former and ApiKey.objects.key_generator.verify(secret, former)
    return (key, True) if is_former else None


def note_use(*, key: ApiKey, now: datetime, of_former: bool = False) -> None:
    """Remember when a key was last used, to the minute: reads must not queue behind writes."""
    stale = now - _NOTE_USE_EVERY
    for field in ("last_used_at", "former_used_at") if of_former else ("last_used_at",):
        noted = getattr(key, field)
        if noted is None or noted <= stale:
            old = Q(**{f"{field}__isnull": True}) | Q(**{f"{field}__lte": stale})
            ApiKey.objects.filter(old, pk=key.pk).update(**{field: now})


def checked_scopes(scopes: Iterable[str]) -> list[str]:
    wanted = sorted(set(scopes))
    if not wanted:
        raise KeyNeedsScope(_("Say what the key may do: tick at least one."))
    return wanted


def check_end(expires_at: datetime | None, now: datetime) -> None:
    if expires_at is not None and expires_at <= now:
        raise KeyExpiresInThePast(_("The key would have expired already. Give a later day."))


def check_system(system: ConnectedSystem | None, plant_id: int) -> None:
    if system is not None and system.plant_id != plant_id:
        raise SystemOfAnotherPlant(_("This system is connected to another plant."))


def locked_key(prefix: str) -> ApiKey:
    """A key that is to be changed, locked; refuses with KeyIsRevoked."""
    key = ApiKey.objects.select_for_update(of=("self",)).get(prefix=prefix)
    if key.revoked:
        raise KeyIsRevoked(_("This key was revoked before. Make a new one if it is needed."))
    return key


def keep_in_log(
    key: ApiKey,
    what: KeyLogEntry.What,
    by: User | None,
    old: dict[str, Any] | None = None,
    new: dict[str, Any] | None = None,
) -> None:
    who = str(by) if by else ""
    KeyLogEntry.objects.create(key=key, what=what, by=by, who=who, old=old or {}, new=new or {})
