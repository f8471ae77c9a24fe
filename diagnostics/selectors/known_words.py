"""Words nobody wrote, and those that somebody did: beginnings of words and typing errors."""

from collections.abc import Collection, Iterable
from itertools import takewhile
from typing import Any

from django.contrib.postgres.search import TrigramDistance
from django.db.models import F, Q, QuerySet
from django.db.models.functions import Length

from diagnostics.inference.search_words import Asked, Synonyms, asked_of
from diagnostics.models.search import SearchShelf, SearchWord
from plant import slips

# Below this every word is like every other.
_SHORTEST = 4
# Looked at more closely, of those most alike in their pieces of three letters.
_MOST_ALIKE = 40
_MOST_BEGUN = 12
_MOST_MENDED = 3


def meant(
    shelf: SearchShelf, plant_ids: Collection[int], unknown: Collection[Asked], synonyms: Synonyms
) -> tuple[list[Asked], dict[str, str]]:
    """What was meant by parts nobody wrote, and which words that took in place of which.

    The last word may be the beginning of one. The words are those written at these plants, in
    this version of knowledge, and the synonyms.
    """
    known = SearchWord.objects.filter(Q(shelf=shelf) | Q(plant_id__in=plant_ids))
    *_before, last = unknown
    begun = _begun(known, last) if last.is_beginning else []
    slipped = [part for part in unknown if not (begun and part is last)]
    words = [word for part in slipped for word in part.typed.split()][:_MOST_MENDED]
    instead = _nearest(known, words, synonyms.words)
    mended = [instead.get(word, word) for part in slipped for word in part.typed.split()]
    asked = list(asked_of(" ".join(mended), synonyms)) if instead else []
    return [*asked, *begun], instead


def _begun(known: QuerySet[SearchWord], part: Asked) -> list[Asked]:
    *before, beginning = part.typed.split()
    if before:
        return []
    longer = known.filter(word__startswith=beginning).order_by(Length("word"), "word")
    words = list(dict.fromkeys(longer.values_list("word", flat=True)[: 2 * _MOST_BEGUN]))
    return [Asked(part.typed, tuple(words[:_MOST_BEGUN]))] if words else []


def _nearest(
    known: QuerySet[SearchWord], words: Iterable[str], others: Collection[str]
) -> dict[str, str]:
    """For each word the nearest known one; words that are like none are left out."""
    found = {}
    for word in dict.fromkeys(words):
        if len(word) < _SHORTEST or word.isdigit():
            continue
        likeness: Any = TrigramDistance("word", word)
        alike = known.order_by(likeness, F("word")).values_list("word", flat=True)[:_MOST_ALIKE]
        counted = [
            (count, -_begin_alike(one, word), abs(len(one) - len(word)), one)
            for one in dict.fromkeys([*alike, *sorted(others)])
            if (count := slips.slips_between([word], [one])) is not None
        ]
        # Of those equally near the one that begins alike: nobody mistypes the first letters.
        if counted and min(counted)[-1] != word:
            found[word] = min(counted)[-1]
    return found


def _begin_alike(one: str, other: str) -> int:
    """How many letters they have in common before they part."""
    pairs = zip(one, other, strict=False)
    return sum(1 for _pair in takewhile(lambda pair: pair[0] == pair[1], pairs))
