"""Changes get their numbers here, after they were committed and one batch at a time.

Why a reader who follows the numbers misses nothing: only committed changes can be seen and
numbered; whoever numbers holds the lock of the one position until the numbers are committed, so
that they become visible in the order in which they were given. A transaction that commits late
gets a late number, and holds up nobody. Changes of one row keep their order: the second writer of
a row waits for the first one's commit, so its change came in later.
"""

from datetime import datetime
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from plant.services import feed_weeks

# Several hundred milliseconds of work; who reads meanwhile gets what is numbered.
BATCH = 5000

_BEGIN = (
    "INSERT INTO plant_feedposition (id, last_number, last_at, dropped_through) "
    "VALUES (1, 0, clock_timestamp(), 0) ON CONFLICT DO NOTHING"
)
# Who finds it locked goes on without: somebody else is numbering.
_LOCK = """
SELECT last_number, GREATEST(last_at, clock_timestamp())
FROM plant_feedposition WHERE id = 1 FOR UPDATE SKIP LOCKED
"""
# A statement of its own after the lock: what it sees begins after the last one's commit.
_NUMBER = """
WITH taken AS (
    DELETE FROM plant_feedarrival
    WHERE id IN (SELECT id FROM plant_feedarrival ORDER BY id LIMIT %(batch)s)
    RETURNING *
), weighed AS (
    SELECT *, row_number() OVER (together ORDER BY id DESC) AS from_last,
        bool_or(kind = 'added') OVER together AS is_new,
        bool_or(kind = 'merged') OVER together AS is_merged
    FROM taken
    WINDOW together AS (PARTITION BY transaction, feed, "of", row_id)
), told AS (
    SELECT *, row_number() OVER (ORDER BY id) AS place,
        CASE WHEN kind = 'removed' THEN kind WHEN is_new THEN 'added'
            WHEN is_merged THEN 'merged' ELSE kind END AS whole_kind
    FROM weighed
    WHERE from_last = 1 AND NOT (is_new AND kind = 'removed')
), written AS (
    INSERT INTO plant_feedchange (number, numbered_at, feed, "of", row_id, key, plant_id, kind,
        at, who, by_key, record)
    SELECT %(last)s + place, %(at)s, feed, "of", row_id, key, plant_id, whole_kind,
        at, who, by_key, record
    FROM told
    RETURNING number
)
SELECT (SELECT count(*) FROM taken), (SELECT max(number) FROM written)
"""


def number_batch() -> int:
    """Number up to BATCH arrivals; returns how many were taken, none while somebody else does."""
    with transaction.atomic(), connection.cursor() as cursor:
        found = _lock(cursor)
        if found is None:
            return 0
        last, at = found
        feed_weeks.ensure_week(at)
        cursor.execute(_NUMBER, {"batch": BATCH, "last": last, "at": at})
        taken, reached = cursor.fetchone()
        if reached is not None:
            cursor.execute(
                "UPDATE plant_feedposition SET last_number = %s, last_at = %s WHERE id = 1",
                [reached, at],
            )
        return int(taken)


def number_owed() -> int:
    """For the worker: number all there is."""
    done = 0
    while _is_anything_owed():
        taken = number_batch()
        done += taken
        if taken < BATCH:
            break
    return done


def keep_weeks_owed() -> int:
    """For the worker: partitions made ahead, old ones dropped."""
    return feed_weeks.keep_weeks(now=timezone.now())


def _lock(cursor: Any) -> tuple[int, datetime] | None:
    cursor.execute(_LOCK)
    found = cursor.fetchone()
    if found is None:
        # Only in a database whose tables were emptied.
        cursor.execute(_BEGIN)
        cursor.execute(_LOCK)
        found = cursor.fetchone()
    return found


def _is_anything_owed() -> bool:
    with connection.cursor() as cursor:
        cursor.execute("SELECT EXISTS (SELECT 1 FROM plant_feedarrival)")
        return bool(cursor.fetchone()[0])
