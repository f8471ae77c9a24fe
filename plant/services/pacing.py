"""How many requests a key may send: counted in minutes, each of which begins with a request.

Exact over any number of processes and machines, by the database's clock: one statement of its own
counts and says what is left. Its row is locked for no longer than that statement takes, so that
requests of one key do not queue for one another; it must not run inside a longer transaction.
"""

import ipaddress
import math
from dataclasses import dataclass

from django.conf import settings
from django.db import connection

from plant.models import ApiKey

WINDOW_S = 60
# Of keys that are none, from one address in a minute: many for a mistake, few for guessing.
MOST_FAILURES = 30
# The count stops one above the limit, so that a refused flood is over with its minute.
_COUNT = f"""
INSERT INTO plant_requestpace AS pace (asker, began_at, used)
VALUES (%(asker)s, statement_timestamp(), 1)
ON CONFLICT (asker) DO UPDATE SET
    began_at = CASE WHEN pace.began_at <= statement_timestamp() - interval '{WINDOW_S} s'
        THEN statement_timestamp() ELSE pace.began_at END,
    used = CASE WHEN pace.began_at <= statement_timestamp() - interval '{WINDOW_S} s'
        THEN 1 ELSE LEAST(pace.used, %(most)s) + 1 END
RETURNING used, {WINDOW_S} - extract(epoch FROM statement_timestamp() - began_at)
"""  # noqa: S608  # nosec: a constant of ours
_FORGET = "DELETE FROM plant_requestpace WHERE began_at < now() - interval '1 hour'"


@dataclass(frozen=True)
class Pace:
    """Where somebody stands in their minute; `used` is at most one above `limit`."""

    limit: int
    used: int
    left_s: int

    @property
    def is_over(self) -> bool:
        return self.used > self.limit

    @property
    def remaining(self) -> int:
        return max(0, self.limit - self.used)


def limit_of(key: ApiKey) -> int:
    """Requests a minute; 0 for no limit."""
    if key.requests_per_minute is not None:
        return key.requests_per_minute
    return int(settings.API_REQUESTS_PER_MINUTE)


def count_request(key: ApiKey) -> Pace | None:
    """Count one request of a key; None where there is no limit."""
    limit = limit_of(key)
    return _count(f"key {key.prefix}", limit) if limit else None


def count_failure(address: str) -> Pace:
    """Count a key that was none, from this address."""
    return _count(f"address {_network(address)}", MOST_FAILURES)


def forget_owed() -> int:
    """For the worker: rows of whoever asks no more."""
    with connection.cursor() as cursor:
        cursor.execute(_FORGET)
        return int(cursor.rowcount)


def _count(asker: str, limit: int) -> Pace:
    with connection.cursor() as cursor:
        cursor.execute(_COUNT, {"asker": asker, "most": limit})
        used, left_s = cursor.fetchone()
    # Another's statement may have begun the minute after ours began.
    return Pace(limit, used, min(WINDOW_S, max(1, math.ceil(left_s))))


def _network(address: str) -> str:
    """One house is one IPv6 /64; what is no address at all counts together."""
    try:
        one = ipaddress.ip_address(address)
    except ValueError:
        return "unknown"
    if one.version == 4:
        return str(one)
    return str(ipaddress.ip_network((one, 64), strict=False))
