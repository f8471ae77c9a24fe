"""How many requests a key may send: counted over the minute that ends now, in slices of it.

A minute that began anew would let through twice as much around its edge. Here whoever keeps to
the limit is never refused, and no more than the limit gets through in a minute less one slice.

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
# Fewer let more through after a pause, more make the row longer.
SLICE_S = 2
SLICES = WINDOW_S // SLICE_S
# The newest slice comes first. What is refused is not counted: a flood prolongs no refusal.
_COUNT = f"""
INSERT INTO plant_requestpace AS pace (asker, began_at, slices, is_over)
VALUES (%(asker)s, date_bin('{SLICE_S} s', statement_timestamp(), 'epoch'),
    array_prepend(1, array_fill(0, ARRAY[{SLICES - 1}])), false)
ON CONFLICT (asker) DO UPDATE SET (began_at, slices, is_over) = (
    SELECT GREATEST(pace.began_at, EXCLUDED.began_at),
        CASE WHEN used < %(most)s THEN array_prepend(kept[1] + 1, kept[2:]) ELSE kept END,
        used >= %(most)s
    FROM (
        SELECT extract(epoch FROM EXCLUDED.began_at - pace.began_at)::bigint / {SLICE_S} AS slices
    ) AS since,
    LATERAL (SELECT LEAST({SLICES}, GREATEST(0, since.slices))::integer AS passed) AS gone,
    LATERAL (
        SELECT array_fill(0, ARRAY[passed]) || pace.slices[1:{SLICES} - passed] AS kept
    ) AS moved,
    LATERAL (SELECT sum(one) AS used FROM unnest(kept) AS one) AS summed
)
RETURNING is_over, slices, extract(epoch FROM statement_timestamp() - began_at)
"""  # noqa: S608  # nosec: constants of ours
_FORGET = "DELETE FROM plant_requestpace WHERE began_at < now() - interval '1 hour'"


@dataclass(frozen=True)
class Pace:
    """Where somebody stands; `used` is above `limit` when this request was refused.

    In `left_s` some of what was used counts no more.
    """

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
        is_over, slices, since_s = cursor.fetchone()
    used = sum(slices)
    return Pace(limit, max(used, limit + 1) if is_over else used, _left_s(slices, limit, since_s))


def _left_s(slices: list[int], limit: int, since_s: float) -> int:
    """Until so much has left the minute that one more may come; at the least until some has."""
    used = sum(slices)
    for place in reversed(range(SLICES)):
        used -= slices[place]
        if slices[place] and used < limit:
            left_s = (SLICES - place) * SLICE_S - float(since_s)
            # Another's statement may have begun a slice after ours began.
            return min(WINDOW_S, max(1, math.ceil(left_s)))
    return WINDOW_S


def _network(address: str) -> str:
    """One house is one IPv6 /64; what is no address at all counts together."""
    try:
        one = ipaddress.ip_address(address)
    except ValueError:
        return "unknown"
    if one.version == 4:
        return str(one)
    return str(ipaddress.ip_network((one, 64), strict=False))
