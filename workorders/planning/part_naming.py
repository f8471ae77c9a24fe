"""How well a part answers to the words somebody wrote for it; pure."""

import re
from collections.abc import Iterable

_WORD = re.compile(r"[^\W_]+")
# Of a job's list of parts: what says nothing about which part is meant.
_SAYS_NOTHING = frozenset({"a", "and", "as", "for", "needed", "of", "or", "the", "where", "with"})
# Half of what was written should be found in the part's names.
LIKE_ENOUGH = 0.5


def likeness(written: str, names: Iterable[str]) -> float:
    """The share of the words written that stand in the names; 0 where nothing was written.

    Small and capital letters and the plural's s count alike: "carrying rolls" is "Carrying roll".
    """
    asked = _words(written)
    if not asked:
        return 0.0
    known = {word for name in names for word in _words(name)}
    return len(asked & known) / len(asked)


def _words(text: str) -> frozenset[str]:
    found = (word for word in _WORD.findall(text.casefold()))
    return frozenset(_singular(word) for word in found) - _SAYS_NOTHING


def _singular(word: str) -> str:
    ends_in_s = len(word) > 3 and word.endswith("s") and not word.endswith("ss")
    return word[:-1] if ends_in_s else word
