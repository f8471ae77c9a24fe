"""Pages of a change feed, and how far it is behind."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import connection
from django.db.models import QuerySet

from plant.models import FeedChange

_STANDING = """
SELECT last_number, last_at, dropped_through, EXISTS (SELECT 1 FROM plant_feedarrival)
FROM plant_feedposition WHERE id = 1
"""
COLUMNS = ("number", "numbered_at", "at", "kind", "of", "key", "who", "by_key", "record")


@dataclass(frozen=True)
class Place:
    """A place in the feeds: everything up to this number was read; when that was numbered.

    The instant lets the database pass over the weeks before it.
    """

    number: int
    at: datetime | None


BEGINNING = Place(0, None)


@dataclass(frozen=True)
class Standing:
    """How far the feeds have come; `awaits` that committed changes have no number yet."""

    last: Place
    dropped_through: int
    awaits: bool


@dataclass(frozen=True)
class Page:
    """Rows of COLUMNS; `after` is where the next page begins."""

    rows: list[tuple[Any, ...]]
    after: Place
    has_more: bool


def standing() -> Standing:
    with connection.cursor() as cursor:
        cursor.execute(_STANDING)
        found = cursor.fetchone()
    if found is None:
        return Standing(BEGINNING, 0, awaits=True)
    last, at, dropped_through, awaits = found
    return Standing(Place(last, at), dropped_through, awaits)


def page_after(changes: QuerySet[FeedChange], seen: Place, limit: int, known: Standing) -> Page:
    """The changes that follow a place.

    `known` was read before: what was numbered until then is surely visible here, so that a page
    that is not full reaches that far, whatever was left out of it.
    """
    rows = changes.filter(number__gt=seen.number).order_by("number")
    if seen.at is not None:
        rows = rows.filter(numbered_at__gte=seen.at)
    found = list(rows.values_list(*COLUMNS)[: limit + 1])
    if len(found) > limit:
        last = found[limit - 1]
        return Page(found[:limit], Place(last[0], last[1]), has_more=True)
    after = max(seen, known.last, *(Place(one[0], one[1]) for one in found[-1:]), key=_number)
    return Page(found, after, has_more=False)


def _number(place: Place) -> int:
    return place.number


@dataclass(frozen=True)
class Lag:
    """What is committed and has no number yet: how much, and since when."""

    changes: int
    since: datetime | None


def lag() -> Lag:
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*), min(at) FROM plant_feedarrival")
        count, since = cursor.fetchone()
    return Lag(count, since)
