"""Secrets of webhooks at rest: sealed with a key derived from SECRET_KEY.

A digest would not do, since they have to sign. Whoever reads the database alone, or a backup of
it, cannot sign as this site; whoever has the site's SECRET_KEY too, can. A site that changes its
SECRET_KEY lists the old one in SECRET_KEY_FALLBACKS or makes new secrets; until then deliveries
say that their secret cannot be read.
"""

import base64
import secrets
from datetime import datetime, timedelta

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from django.conf import settings
from django.db.models import Q
from django.utils.encoding import force_bytes

from plant.models import WebhookSecret, WebhookTarget
from plant.webhooks import signatures

_PURPOSE = b"loopwright: secrets of webhooks, 1"


class SecretUnreadable(Exception):
    """Sealed under another SECRET_KEY."""


def add(target: WebhookTarget, now: datetime) -> str:
    """Make a secret and return it: the one time it is shown."""
    secret = signatures.make_secret(secrets.token_bytes)
    sealed = _seal().encrypt(secret.encode()).decode()
    WebhookSecret.objects.create(target=target, sealed=sealed, made_at=now)
    return secret


def end_earlier(target: WebhookTarget, now: datetime, overlap: timedelta) -> None:
    """All secrets there are sign no longer than `overlap` from now; ended ones are forgotten."""
    ends_at = now + overlap
    still = target.secrets.filter(Q(ends_at__isnull=True) | Q(ends_at__gt=ends_at))
    still.update(ends_at=ends_at)
    target.secrets.filter(ends_at__lte=now).delete()


def of_target(target: WebhookTarget, now: datetime) -> list[str]:
    """Those that sign at the moment, the newest first; raises SecretUnreadable."""
    valid = target.secrets.filter(Q(ends_at__isnull=True) | Q(ends_at__gt=now))
    try:
        opened = [_seal().decrypt(row.sealed.encode()).decode() for row in valid]
    except InvalidToken:
        raise SecretUnreadable from None
    if not opened:
        raise SecretUnreadable
    return opened


def _seal() -> MultiFernet:
    keys = [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]
    return MultiFernet([Fernet(_derived(key)) for key in keys])


def _derived(key: str | bytes) -> bytes:
    kept = force_bytes(key)
    derived = HKDF(algorithm=SHA256(), length=32, salt=None, info=_PURPOSE).derive(kept)
    return base64.urlsafe_b64encode(derived)
