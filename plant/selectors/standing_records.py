"""All that stands of a feed, each row in the very form in which its changes are told."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from django.db import connection
from django.utils.module_loading import import_string

from plant.models import Feed, Plant
from plant.models.feed_triggers import TOLD

_PAGE = 1000
_READ = """
SELECT one.id, one.{key}::text, row_to_json(record)::text
FROM {table} AS one {joins}
CROSS JOIN LATERAL (SELECT {columns}) AS record
WHERE {plant} = %s AND one.id > %s ORDER BY one.id LIMIT {page}
"""


@dataclass(frozen=True)
class Standing:
    of: str
    key: str
    record: str


def standing_records(plant: Plant, feed: Feed) -> Iterator[Standing]:
    """Page by page, each as it stands when it is read: nothing is locked meanwhile."""
    for of, read in _ways(feed):
        last = 0
        while rows := _page(read, plant.pk, last):
            for _pk, key, record in rows:
                yield Standing(of, key, record)
            last = rows[-1][0]


def _page(read: str, plant_id: int, last: int) -> list[tuple[int, str, str]]:
    with connection.cursor() as cursor:
        cursor.execute(read, [plant_id, last])
        return list(cursor.fetchall())


@lru_cache
def _ways(feed: Feed) -> tuple[tuple[str, str], ...]:
    # Named, not imported: the wire form stands above.
    wire_sql = import_string("plant.api.wire_sql.wire_sql")
    found = []
    for model, told in TOLD[feed]:
        wire = wire_sql(model, import_string(told.serializer), told.plant)
        read = _READ.format(
            key=told.key,
            table=model._meta.db_table,
            joins=wire.joins,
            columns=wire.columns,
            plant=wire.plant,
            page=_PAGE,
        )
        found.append((told.of, read))
    return tuple(found)
