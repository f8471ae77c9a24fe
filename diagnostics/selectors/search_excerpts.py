"""What of an entry fits: its words around what was looked for, the fitting ones marked."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from django.contrib.postgres.search import SearchHeadline
from django.db.models import F, TextField, Value
from django.db.models.functions import Concat
from django.utils.text import Truncator

from diagnostics.models import Case
from diagnostics.models.search import CONFIG, SearchEntry, SearchKind

_BEGINNING = 180
# Signs nobody can type into a text: form fields refuse them.
_FROM, _TO, _BETWEEN = "\x01", "\x02", "\x03"


@dataclass(frozen=True)
class Excerpt:
    """`title` and `pieces` in stretches of text, each with whether it is what was looked for."""

    kind: SearchKind
    key: str
    title: list[tuple[str, bool]]
    pieces: list[list[tuple[str, bool]]]
    case: Case | None


def excerpts_of(keys: Collection[int], query: Any) -> list[Excerpt]:
    """In the order of the keys, in one query."""
    marks: Any = {"start_sel": _FROM, "stop_sel": _TO, "config": CONFIG}
    text = Concat(F("says"), Value("\n"), F("more"), output_field=TextField())
    rows = SearchEntry.objects.filter(pk__in=keys).select_related("case__conveyor__plant")
    rows = rows.defer("words").annotate(
        fits=SearchHeadline(
            text,
            query,
            max_fragments=2,
            max_words=22,
            min_words=8,
            fragment_delimiter=_BETWEEN,
            **marks,
        ),
        name=SearchHeadline(F("title"), query, highlight_all=True, **marks),
    )
    by_key = {row.pk: row for row in rows}
    return [_excerpt(by_key[key]) for key in keys if key in by_key]


def beginnings_of(keys: Collection[int]) -> list[Excerpt]:
    """As `excerpts_of` where nothing was looked for: how the text begins."""
    rows = SearchEntry.objects.filter(pk__in=keys).select_related("case__conveyor__plant")
    by_key = {row.pk: row for row in rows.defer("words")}
    found = (by_key[key] for key in keys if key in by_key)
    return [
        Excerpt(
            SearchKind(row.kind),
            row.key,
            [(row.title, False)],
            [[(Truncator(row.says or row.more).chars(_BEGINNING), False)]],
            row.case,
        )
        for row in found
    ]


def _excerpt(row: Any) -> Excerpt:
    pieces = [_stretches(piece) for piece in row.fits.split(_BETWEEN)]
    return Excerpt(SearchKind(row.kind), row.key, _stretches(row.name), pieces, row.case)


def _stretches(marked: str) -> list[tuple[str, bool]]:
    found = []
    for number, piece in enumerate(marked.split(_FROM)):
        inside, _to, after = piece.partition(_TO) if number else ("", "", piece)
        found += [(text, is_it) for text, is_it in ((inside, True), (after, False)) if text]
    return found
