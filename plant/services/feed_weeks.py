"""The partitions of the change feeds: one a week, made ahead, dropped when it is too old.

Names tell which week they hold; weeks begin on Monday, UTC.
"""

import logging
from datetime import UTC, date, datetime, time, timedelta

from django.conf import settings
from django.db import DatabaseError, connection, transaction

logger = logging.getLogger(__name__)

_TABLE = "plant_feedchange"
_BEGINS = f"{_TABLE}_w"
_WEEK = timedelta(days=7)
# Dropping one waits for whoever reads it, and everybody else waits behind: rather try again later.
_PATIENCE = "2s"


def ensure_week(at: datetime) -> None:
    """The partition that holds this instant; costs one query when it is there."""
    monday = _monday(at)
    with connection.cursor() as cursor:
        cursor.execute("SELECT to_regclass(%s)", [_name(monday)])
        if cursor.fetchone()[0] is None:
            _make(monday)


def keep_weeks(*, now: datetime) -> int:
    """Make next week's partition and drop those of which every change is too old to be kept.

    Returns how many were made or dropped.
    """
    kept = _kept()
    done = 0
    if kept.isdisjoint({_monday(now + _WEEK)}):
        with transaction.atomic():
            _lock_position()
            ensure_week(now + _WEEK)
        done += 1
    oldest = now - timedelta(days=settings.FEED_KEPT_DAYS)
    for monday in sorted(kept):
        if _begin(monday + _WEEK) <= oldest:
            done += _drop(monday)
    return done


def _drop(monday: date) -> int:
    name = _name(monday)
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SELECT set_config('lock_timeout', %s, true)", [_PATIENCE])
            _lock_position()
            # Who comes with an older cursor has missed something, and is told so.
            cursor.execute(f"SELECT COALESCE(max(number), 0) FROM {name}")  # noqa: S608  # nosec
            cursor.execute(
                "UPDATE plant_feedposition SET dropped_through = GREATEST(dropped_through, %s)",
                cursor.fetchone(),
            )
            cursor.execute(f"DROP TABLE {name}")
    except DatabaseError:
        logger.warning("%s could not be dropped now; the next sweep tries again.", name)
        return 0
    logger.info("Dropped the changes of the week of %s.", monday)
    return 1


def _make(monday: date) -> None:
    """Made beside the table and then joined to it, so that readers are not kept waiting."""
    name, ends = _name(monday), monday + _WEEK
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE TABLE {name} (LIKE {_TABLE} INCLUDING DEFAULTS)")
        cursor.execute(
            f"ALTER TABLE {_TABLE} ATTACH PARTITION {name} FOR VALUES "
            f"FROM ('{_begin(monday).isoformat()}') TO ('{_begin(ends).isoformat()}')"
        )


def _lock_position() -> None:
    # Whoever numbers changes makes partitions too; of two at once one would fail.
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM plant_feedposition WHERE id = 1 FOR UPDATE")


def _kept() -> set[date]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT inhrelid::regclass::text FROM pg_inherits WHERE inhparent = %s::regclass",
            [_TABLE],
        )
        names = [name for (name,) in cursor.fetchall() if name.startswith(_BEGINS)]
    return {
        datetime.strptime(name.removeprefix(_BEGINS), "%Y%m%d").replace(tzinfo=UTC).date()
        for name in names
    }


def _name(monday: date) -> str:
    return f"{_BEGINS}{monday:%Y%m%d}"


def _monday(at: datetime) -> date:
    day = at.astimezone(UTC).date()
    return day - timedelta(days=day.weekday())


def _begin(day: date) -> datetime:
    return datetime.combine(day, time(), tzinfo=UTC)
