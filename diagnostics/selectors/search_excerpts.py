"""What of an entry fits: its words around what was looked for, the fitting ones marked."""

from collections.abc import Collection
from dataclasses import dataclass

from diagnostics.inference.search_marks import Stretch, Wanted, marked, places
from diagnostics.models import Case
from diagnostics.models.search import SearchEntry, SearchKind


@dataclass(frozen=True)
class Excerpt:
    """`title` and `pieces` in stretches of text, each with whether it is what was looked for."""

    kind: SearchKind
    key: str
    title: list[Stretch]
    pieces: list[list[Stretch]]
    case: Case | None


def excerpts_of(keys: Collection[int], ways: Collection[str]) -> list[Excerpt]:
    """In the order of the keys, in one query; without ways how each text begins."""
    rows = SearchEntry.objects.filter(pk__in=keys).select_related("case__conveyor__plant")
    by_key = {row.pk: row for row in rows.defer("words")}
    wanted = Wanted(frozenset(ways))
    return [_excerpt(by_key[key], wanted) for key in keys if key in by_key]


def _excerpt(row: SearchEntry, wanted: Wanted) -> Excerpt:
    lines = [*row.says.split("\n"), *row.more.split("\n")]
    # A case or a note is called by the beginning of what was said; once is enough.
    lines = [line for line in lines if not row.title.startswith(line)]
    title, pieces = marked(row.title, wanted), places(lines, wanted)
    return Excerpt(SearchKind(row.kind), row.key, title, pieces, row.case)
