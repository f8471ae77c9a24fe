"""Why a word cannot be put into the other side's words, and the gaps met on the way."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum

# The part of a wording that holds asset tags.
TAGS = "asset_tag"
# Of long lists the beginning is named; the pages of the system hold them all.
_MOST_NAMED = 20


class Why(StrEnum):
    # Going out: nobody has said what the system calls it.
    MISSING = "word_missing"
    # Coming in: it is none of the system's words.
    UNKNOWN = "word_unknown"
    # Coming in: it stands for several of ours, and nobody has said which is meant.
    AMBIGUOUS = "word_ambiguous"
    # Coming in: a field is given twice, under both its names.
    TWICE = "field_twice"


@dataclass(frozen=True)
class Missed:
    """A word without an answer that went through as it was; `part` is its vocabulary or TAGS."""

    part: str
    word: str


class WordRefused(ValueError):
    """`part` is the vocabulary or TAGS, `accepted` what would have been taken there."""

    def __init__(
        self, why: Why, part: str, word: str, accepted: Iterable[str] = (), field: str = ""
    ) -> None:
        self.why = why
        self.part = part
        self.word = word
        self.accepted = tuple(sorted(set(accepted)))
        self.field = field
        super().__init__(f"{why}: {word!r} in {part}")

    @property
    def nearest(self) -> str | None:
        by_folded = {one.casefold(): one for one in self.accepted}
        near = get_close_matches(self.word.casefold(), by_folded, n=1, cutoff=0.5)
        return by_folded[near[0]] if near else None

    @property
    def named(self) -> str:
        """The accepted words in one line, a long list cut short."""
        rest = len(self.accepted) - _MOST_NAMED
        some = ", ".join(self.accepted[:_MOST_NAMED])
        return f"{some} … (+{rest})" if rest > 0 else some
