"""Further connections to the test's database, driven by hand."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper

from plant.services import slots


@contextmanager
def another_connection(*, autocommit: bool = False) -> Iterator[BaseDatabaseWrapper]:
    """Rolls back what was not committed."""
    other = connection.copy()
    try:
        other.set_autocommit(autocommit)
        yield other
    finally:
        if not autocommit:
            other.rollback()
        other.close()


def write(through: BaseDatabaseWrapper, number: str, external: str) -> None:
    _do(
        through,
        "UPDATE workorders_workorder SET external_number = %s, version = version + 1 "
        "WHERE number = %s",
        external,
        number,
    )


def slots_taken() -> int:
    """Each request that waits takes two, one of its key and one of the site."""
    with connection.cursor() as cursor:
        cursor.execute(
            # Tests beside this one have databases of their own on the same server.
            "SELECT count(*) FROM pg_locks JOIN pg_database ON pg_database.oid = database "
            "WHERE datname = current_database() AND locktype = 'advisory' AND classid = %s",
            [slots.SLOTS],
        )
        return cursor.fetchone()[0]


def lock_position(through: BaseDatabaseWrapper) -> None:
    """As whoever is numbering changes just now."""
    _do(through, "SELECT 1 FROM plant_feedposition FOR UPDATE")


def _do(through: BaseDatabaseWrapper, sql: str, *values: Any) -> None:
    with through.cursor() as cursor:
        cursor.execute(sql, values)
