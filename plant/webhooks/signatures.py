"""Signatures as the Standard Webhooks specification has them (version 1, HMAC-SHA256)."""

import base64
from collections.abc import Callable, Iterable
from datetime import datetime

from standardwebhooks import Webhook

PREFIX = "whsec_"
# The specification asks for 24 to 64 bytes.
SECRET_BYTES = 32


def make_secret(random_bytes: Callable[[int], bytes]) -> str:
    return PREFIX + base64.b64encode(random_bytes(SECRET_BYTES)).decode()


def signed(message_id: str, at: datetime, body: str, secrets: Iterable[str]) -> dict[str, str]:
    """The three headers. While secrets are changed there is a signature by each of them."""
    signatures = [Webhook(secret).sign(message_id, at, body) for secret in secrets]
    return {
        "webhook-id": message_id,
        "webhook-timestamp": str(int(at.timestamp())),
        "webhook-signature": " ".join(signatures),
    }
