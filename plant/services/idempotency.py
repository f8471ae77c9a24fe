"""A POST done once: the same `Idempotency-Key` and body get the same answer, whatever got lost.

What is done and its answer are one transaction, so that after a crash there is either both or
nothing. A refusal leaves nothing either: the next attempt is judged anew.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from http import HTTPStatus

from django.db import connection, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import ApiAnswer, ApiKey

# Longer than anybody tries again by himself; an outage of a weekend is for the feed to mend.
KEPT_FOR = timedelta(hours=24)
MOST_CHARACTERS = 255


class IdempotencyKeyRefused(DomainError):
    code = "invalid_idempotency_key"


class IdempotencyKeyReused(DomainError):
    code = "idempotency_key_reused"


class RequestInProgress(DomainError):
    code = "request_in_progress"


@dataclass(frozen=True)
class Answer:
    status: int
    body: str
    headers: dict[str, str] = field(default_factory=dict)


@transaction.atomic
def answer_once(
    *, key: ApiKey, idempotency_key: str, asked: str, do: Callable[[], Answer], now: datetime
) -> Answer:
    """Do it and keep the answer, or give the answer that was kept.

    `asked` says all of what is to be done. Refuses with IdempotencyKeyRefused, RequestInProgress
    while another request does it, IdempotencyKeyReused, and with whatever `do` refuses with.
    """
    _check(idempotency_key)
    digest = hashlib.sha256(asked.encode()).hexdigest()
    _lock(key, idempotency_key)
    kept = ApiAnswer.objects.filter(key=key, idempotency_key=idempotency_key).first()
    if kept is not None and kept.made_at > now - KEPT_FOR:
        return _again(kept, digest)
    answer = do()
    if answer.status >= HTTPStatus.BAD_REQUEST:
        transaction.set_rollback(True)
        return answer
    fields = {"asked": digest, "made_at": now, **vars(answer)}
    ApiAnswer.objects.update_or_create(fields, key=key, idempotency_key=idempotency_key)
    return answer


def forget_old(*, now: datetime) -> int:
    """Drop the answers that nobody waits for any more and say how many they were."""
    return ApiAnswer.objects.filter(made_at__lte=now - KEPT_FOR).delete()[0]


def forget_owed() -> int:
    return forget_old(now=timezone.now())


def _check(idempotency_key: str) -> None:
    is_short = 1 <= len(idempotency_key) <= MOST_CHARACTERS
    if not (is_short and idempotency_key.isascii() and idempotency_key.isprintable()):
        raise IdempotencyKeyRefused(
            _("Idempotency-Key is 1 to %(most)d printable ASCII characters.")
            % {"most": MOST_CHARACTERS}
        )


def _lock(key: ApiKey, idempotency_key: str) -> None:
    """Held until the transaction ends, however it ends; two at once never both do it."""
    text = f"idempotency {key.prefix} {idempotency_key}".encode()
    number = int.from_bytes(hashlib.sha256(text).digest()[:8], signed=True)
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_xact_lock(%s)", [number])
        if not cursor.fetchone()[0]:
            raise RequestInProgress(
                _("A request with this Idempotency-Key is being done now. Ask again shortly.")
            )


def _again(kept: ApiAnswer, digest: str) -> Answer:
    if kept.asked != digest:
        raise IdempotencyKeyReused(
            _("This Idempotency-Key was used for another request. Take a new one for each.")
        )
    return Answer(kept.status, kept.body, kept.headers)
