"""Pages of a change feed, and how far it is behind."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import connection
from django.db.models import F, QuerySet, TextField
from django.db.models.functions import Cast

from plant.models import FeedChange

_STANDING = """
SELECT last_number, last_at, dropped_through, EXISTS (SELECT 1 FROM plant_feedarrival)
FROM plant_feedposition WHERE id = 1
"""
# As text, in the zone of the connection, UTC: a thousand instants cost more to read, or to be
# formatted by the database, than all else of a page.
_AS_TEXT = {
    "numbered": Cast(F("numbered_at"), TextField()),
    "written": Cast(F("at"), TextField()),
}
COLUMNS = ("number", "numbered", "written", "kind", "of", "key", "who", "by_key", "record")


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
    found = _fetched(rows.annotate(**_AS_TEXT).values_list(*COLUMNS)[: limit + 1])
    if len(found) > limit:
        return Page(found[:limit], _place(found[limit - 1]), has_more=True)
    after = max(seen, known.last, key=lambda place: place.number)
    if found and found[-1][0] > after.number:
        # Numbered since `known` was read.
        after = _place(found[-1])
    return Page(found, after, has_more=False)


def cut(page: Page, most: int) -> Page:
    """The beginning of a page, at least one row of it; the rest follows."""
    return Page(page.rows[:most], _place(page.rows[most - 1]), has_more=True)


def changes_by_number(
    changes: QuerySet[FeedChange], numbers: Iterable[int], since: datetime
) -> dict[int, tuple[Any, ...]]:
    """COLUMNS of single changes, none of them numbered before `since`; those still kept."""
    rows = changes.filter(number__in=list(numbers), numbered_at__gte=since)
    found = _fetched(rows.order_by().annotate(**_AS_TEXT).values_list(*COLUMNS))
    return {row[0]: row for row in found}


def was_begun_anew(changes: QuerySet[FeedChange], seen: Place) -> bool:
    """Whether numbers up to this place were given out later than it was read.

    So it is after an older backup came back: who read the lost numbers has not read these.
    """
    if seen.at is None:
        return False
    upto = changes.filter(number__lte=seen.number, numbered_at__gte=seen.at)
    last = upto.order_by("-number").values_list("numbered_at", flat=True).first()
    return last is not None and last > seen.at


def _fetched(rows: QuerySet[FeedChange, Any]) -> list[tuple[Any, ...]]:
    """All at once, past the readers of fields: nothing here needs one."""
    with connection.cursor() as cursor:
        cursor.execute(*rows.query.sql_with_params())
        return list(cursor.fetchall())


def _place(row: tuple[Any, ...]) -> Place:
    number, numbered = row[:2]
    return Place(number, datetime.fromisoformat(numbered))


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
