"""Typed words as what is looked for: words cut to their stems, phrases of the trade, synonyms.

Pure: a search asks for `Asked` parts; how they are found is the database's business.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

# Whoever types more has told a story: its first words say what it is about.
MOST_PARTS = 8
# Below this a word is no beginning of another; engineering judgement.
_SHORTEST_BEGINNING = 3
_WORD = re.compile(r"[^\W_]+")
_ENDINGS = ("ings", "ing", "ers", "er", "ed", "es", "s", "y", "e")
EMPTY_WORDS = frozenset(
    _WORD.findall(
        "a an and are as at be but by for from has in is it its of off on or than that the then "
        "there this to under up when where with"
    )
)


def words_of(text: str) -> list[str]:
    """Words in small letters, cut at everything that is no letter or digit."""
    return _WORD.findall(text.casefold().replace("_", " "))


def stem(word: str) -> str:
    """The word without its ending; "rubbing" and "rubs", "slipped" and "slips" meet."""
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            word = word[: -len(ending)]
            break
    return word[:-1] if len(word) > 3 and word[-1] == word[-2] else word


@dataclass(frozen=True)
class Asked:
    """A word or phrase that is looked for, and every way of saying it, its own first.

    `is_beginning` when the last word may be the beginning of one, as while somebody types.
    """

    typed: str
    ways: tuple[str, ...]
    is_beginning: bool = False


@dataclass(frozen=True)
class Synonyms:
    """Groups of words and phrases that mean the same."""

    groups: tuple[tuple[str, ...], ...]

    @cached_property
    def words(self) -> frozenset[str]:
        return frozenset(word for group in self.groups for way in group for word in words_of(way))

    @cached_property
    def longest(self) -> int:
        return max((len(stems) for stems in self._group_of), default=1)

    @cached_property
    def _group_of(self) -> dict[tuple[str, ...], tuple[str, ...]]:
        return {phrase_stems(way): group for group in self.groups for way in group}

    def ways_of(self, words: Sequence[str]) -> tuple[str, ...] | None:
        """The whole group a phrase stands in; None for what is in none."""
        return self._group_of.get(phrase_stems(" ".join(words)))


def phrase_stems(phrase: str) -> tuple[str, ...]:
    """Two endings cut from each word: "wanders", "wander" and "wandering" meet."""
    return tuple(stem(stem(word)) for word in words_of(phrase))


def asked_of(typed: str, synonyms: Synonyms) -> tuple[Asked, ...]:
    """What is looked for, in the order typed.

    The longest phrase of the trade wins: "build up" is one part, not two words.

    Parameters
    ----------
    typed : str
        Anything a person types.
    synonyms : Synonyms

    Returns
    -------
    tuple of Asked
        Empty without a word to go by; at most `MOST_PARTS`, none twice.
    """
    words = words_of(typed)
    found: dict[tuple[str, ...], Asked] = {}
    here = 0
    while here < len(words) and len(found) < MOST_PARTS:
        ways, taken = _phrase_at(words, here, synonyms)
        said = words[here : here + taken]
        here += taken
        if ways is None and said[0] in EMPTY_WORDS:
            continue
        is_last = here >= len(words) and len(said[-1]) >= _SHORTEST_BEGINNING
        phrase = " ".join(said)
        others = tuple(way for way in ways or () if way != phrase)
        found.setdefault(phrase_stems(phrase), Asked(phrase, (phrase, *others), is_last))
    return tuple(found.values())


def _phrase_at(
    words: Sequence[str], here: int, synonyms: Synonyms
) -> tuple[tuple[str, ...] | None, int]:
    """The group of the longest phrase that begins here, and how many words it takes."""
    for length in range(min(synonyms.longest, len(words) - here), 0, -1):
        ways = synonyms.ways_of(words[here : here + length])
        if ways is not None:
            return ways, length
    return None, 1
