"""Searches knowledge and past cases in plain language, the best match first.

Phrases of the trade count as what they mean (fixtures/synonyms.yaml); typing errors are mended
where a word is found nowhere. At most six queries, however much there is.
"""

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from django.core.paginator import Page, Paginator

from diagnostics.models.search import SearchKind
from diagnostics.selectors.search_excerpts import excerpts_of
from diagnostics.selectors.search_parts import Scope, parts_of
from diagnostics.selectors.search_ranking import Ranked, ranked


@dataclass(frozen=True)
class FoundPage:
    """`counts` of all kinds, whichever is shown.

    `instead`: words nobody wrote and what was looked for in their place. `is_cut` when so many
    cases fit that only the newest were weighed.
    """

    page: Page[Any]
    counts: dict[SearchKind, int] = field(default_factory=dict)
    instead: dict[str, str] = field(default_factory=dict)
    is_cut: bool = False

    @property
    def total(self) -> int:
        return sum(self.counts.values())


def found_page(
    scope: Scope, typed: str, kind: SearchKind | None, number: str | None, rows: int
) -> FoundPage:
    """A page of entries of one kind or of all."""
    parts, instead = parts_of(scope, typed)
    fitting = ranked(scope, parts) if parts else Ranked([])
    counts = Counter(one for _pk, one in fitting.found)
    wanted = [pk for pk, one in fitting.found if kind in (None, one)]
    page: Page[Any] = Paginator(wanted, rows).get_page(number)
    if wanted:
        ways = {way for part in parts for way in part.ways}
        page.object_list = excerpts_of(list(page.object_list), ways)
    return FoundPage(page, {one: counts[one] for one in SearchKind}, instead, fitting.is_cut)


def listed_page(scope: Scope, kind: SearchKind, number: str | None, rows: int) -> FoundPage:
    """All entries of a kind: cases and notes the newest first, others by name."""
    newest = {SearchKind.CASE: "-case_id", SearchKind.NOTE: "-note_id"}
    order = newest.get(kind, "title")
    entries = scope.rows.filter(kind=kind.value).order_by(order, "pk")
    page: Page[Any] = Paginator(entries.values_list("pk", flat=True), rows).get_page(number)
    page.object_list = excerpts_of(list(page.object_list), ())
    return FoundPage(page, {kind: page.paginator.count})
