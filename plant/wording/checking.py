"""What a wording leaves open: looked for in the words themselves."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from plant.wording.wording import Wording, Words


class GapKind(StrEnum):
    # Ours: the vocabulary was begun, and this word of it has none.
    MISSING = "missing"
    # Theirs: it stands for several of ours, and none of those, or more than one, is preferred.
    AMBIGUOUS = "ambiguous"
    # Ours has no word and goes out as it is, which in the system's words means something else.
    MISLEADING = "misleading"
    # Ours: it was given a word, but it is no word of ours any more.
    GONE = "gone"
    # Theirs: an asset tag was given to more than one place.
    TWICE = "twice"


@dataclass(frozen=True)
class Gap:
    """`others` are words or places of ours that the gap is about as well."""

    kind: GapKind
    word: str
    others: tuple[str, ...] = ()


def gaps_in_words(words: Words) -> list[Gap]:
    """Of one vocabulary, in the order in which they do harm; none when nothing was filled in."""
    return list(_gaps(words)) if words.theirs else []


def tags_given_twice(wording: Wording) -> list[Gap]:
    return [
        Gap(GapKind.TWICE, tag, tuple(" ".join(filter(None, place)) for place in places))
        for tag, places in sorted(wording.places.items())
        if len(places) > 1
    ]


def _gaps(words: Words) -> Iterator[Gap]:
    without = sorted(words.known - words.theirs.keys())
    for ours in without:
        meant = words.ours.get(ours)
        if meant:
            yield Gap(GapKind.MISLEADING, ours, meant)
    for theirs, several in sorted(words.ours.items()):
        if words.meant_by(theirs) is None:
            yield Gap(GapKind.AMBIGUOUS, theirs, several)
    for ours in without:
        if ours not in words.ours:
            yield Gap(GapKind.MISSING, ours)
    for ours in sorted(words.theirs.keys() - words.known):
        yield Gap(GapKind.GONE, ours, (words.theirs[ours],))


def untagged(wording: Wording, conveyors: Mapping[str, int]) -> dict[str, int]:
    """Those of the conveyors that have no asset tag; none while no tag was given at all."""
    if not wording.tags:
        return {}
    return {tag: count for tag, count in conveyors.items() if (tag, "") not in wording.tags}
