"""What was typed as parts that are found: a part is worth the more the fewer entries hold it."""

import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from django.contrib.postgres.search import SearchQuery
from django.db import connection
from django.db.models import Q, QuerySet

from diagnostics import synonym_files
from diagnostics.inference.search_words import Asked, asked_of
from diagnostics.models.search import CONFIG, SearchEntry, SearchKind, SearchShelf
from diagnostics.selectors import known_words

# Counted no further: what more entries hold says too little to go by.
MOST_COUNTED = 400
_ENOUGH = 5000
# Every entry holds it; it still tells an entry that says it in its name.
_LEAST_WORTH = 0.01
# Over one: "squeal at the head" is about squealing; engineering judgement.
_RARITY = 1.5


@dataclass(frozen=True)
class Scope:
    """Where to look: one version of knowledge, and the cases of some plants.

    With `causes` only among those causes.
    """

    shelf: SearchShelf
    plant_ids: Collection[int]
    causes: Collection[str] | None = None

    @property
    def rows(self) -> QuerySet[SearchEntry]:
        if self.causes is not None:
            kind = SearchKind.CAUSE.value
            return SearchEntry.objects.filter(shelf=self.shelf, kind=kind, key__in=self.causes)
        mine = Q(shelf=self.shelf)
        if self.plant_ids:
            mine |= Q(plant_id__in=self.plant_ids)
        return SearchEntry.objects.filter(mine)


@dataclass(frozen=True)
class Part:
    """`query` asks for all its ways at once."""

    ways: tuple[str, ...]
    query: Any
    count: int
    worth: float

    @property
    def is_telling(self) -> bool:
        return self.count <= MOST_COUNTED


def parts_of(scope: Scope, typed: str) -> tuple[list[Part], dict[str, str]]:
    """Parts that are found, and words nobody wrote with those taken in their place."""
    synonyms = synonym_files.current()
    found, unknown = _told(scope, asked_of(typed, synonyms))
    if not unknown:
        return found, {}
    meant, instead = known_words.meant(scope.shelf, scope.plant_ids, unknown, synonyms)
    more, _nowhere = _told(scope, meant)
    return found + more, instead


def _told(scope: Scope, asked: Collection[Asked]) -> tuple[list[Part], list[Asked]]:
    """Those that are found, and those that are not."""
    if not asked:
        return [], []
    queries = _queries(asked)
    everything, *counts = _counts(scope, queries)
    found, unknown = [], []
    for part, query, count in zip(asked, queries, counts, strict=True):
        if count:
            rarity = math.log((everything + 1) / (count + 0.5))
            found.append(Part(part.ways, query, count, max(rarity, _LEAST_WORTH) ** _RARITY))
        else:
            unknown.append(part)
    return found, unknown


def _queries(asked: Collection[Asked]) -> list[Any]:
    """Every way of saying a part, put into stems once and not in every clause that asks for it."""
    said = [part.ways for part in asked]
    ways = ["||".join([f"phraseto_tsquery('{CONFIG}', %s)"] * len(one)) for one in said]
    columns = ", ".join(f"({one})::text" for one in ways)
    stems = _row(f"SELECT {columns}", [way for one in said for way in one])  # nosec
    # "simple" leaves the stems as they are.
    return [SearchQuery(one, config="simple", search_type="raw") for one in stems]


def _counts(scope: Scope, queries: Collection[Any]) -> list[int]:
    """How many entries there are, and how many hold each, neither counted further than needed."""
    rows = scope.rows.order_by()
    counted = [
        rows.values("pk")[:_ENOUGH],
        *(rows.filter(words=one).values("pk")[: MOST_COUNTED + 1] for one in queries),
    ]
    # Made of the ORM's own statements; every value is a parameter.
    compiled = [one.query.sql_with_params() for one in counted]
    columns = (f"(SELECT COUNT(*) FROM ({sql}) AS one)" for sql, _params in compiled)  # noqa: S608  # nosec
    return _row(
        f"SELECT {', '.join(columns)}", [one for _sql, params in compiled for one in params]
    )


def _row(sql: str, values: list[Any]) -> list[Any]:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        return list(cursor.fetchone())
