"""Slips of the hand in short words, which three-letter pieces of words are too coarse to see.

Pure: `qauy` is `quay` with two letters changed over; no piece of three letters survives that.
"""

import unicodedata
from collections.abc import Iterable, Sequence

# Engineering judgement: below three letters every word is like every other; a second slip is
# believed only in a word of six letters or more.
_SHORTEST = 3
_TWO_SLIPS_FROM = 6


def plain_words(text: str) -> list[str]:
    """Words in small letters without accents, cut at everything that is no letter or digit."""
    bare = "".join(
        letter
        for letter in unicodedata.normalize("NFKD", text.casefold())
        if not unicodedata.combining(letter)
    )
    return "".join(letter if letter.isalnum() else " " for letter in bare).split()


def slips_between(asked: Sequence[str], names: Iterable[str]) -> int | None:
    """How many slips lie between what was asked and the best words of the names.

    Parameters
    ----------
    asked : sequence of str
        Plain words as typed; the last may be the beginning of a word.
    names : iterable of str
        What a thing is called, as people write it.

    Returns
    -------
    int or None
        0 when every word is there; None when one of them is not, however it is bent.
    """
    known = {word for name in names for word in plain_words(name)}
    total = 0
    for word in asked:
        fewest = min((_slips(word, other) for other in known), default=None)
        if fewest is None or fewest > _allowed(word):
            return None
        total += fewest
    return total if asked else None


def _allowed(word: str) -> int:
    if len(word) < _SHORTEST:
        return 0
    return 2 if len(word) >= _TWO_SLIPS_FROM else 1


def _slips(word: str, other: str) -> int:
    """Fewest letters changed, left out, put in or changed over with the next."""
    # Somebody still typing has written the beginning of a word only.
    ends = range(max(1, len(word) - 1), min(len(other), len(word) + 1) + 1)
    return min((_distance(word, other[:end]) for end in ends), default=_distance(word, other))


def _distance(one: str, other: str) -> int:
    before: list[int] = []
    here = list(range(len(other) + 1))
    for row, letter in enumerate(one, start=1):
        before, last, here = here, before, [row]
        for column, facing in enumerate(other, start=1):
            cost = min(
                before[column] + 1,
                here[column - 1] + 1,
                before[column - 1] + (letter != facing),
            )
            changed_over = (
                row > 1 and column > 1 and letter == other[column - 2] and one[row - 2] == facing
            )
            here.append(min(cost, last[column - 2] + 1) if changed_over else cost)
    return here[-1]
