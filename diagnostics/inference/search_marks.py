"""What of a text was looked for: stretches of it marked, and the places worth showing.

Pure. A phrase is marked where it stands as a phrase; its words by themselves are not.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

from diagnostics.inference.search_words import phrase_stems

_WORD = re.compile(r"[^\W_]+")
# Letters shown before and behind what was looked for, and places of one text; judgement.
_AROUND = 70
MOST_PLACES = 2

Stretch = tuple[str, bool]


@lru_cache(maxsize=20_000)
def _stem(word: str) -> str:
    return "".join(phrase_stems(word))


@dataclass(frozen=True)
class Wanted:
    """Every way of saying what was looked for."""

    ways: frozenset[str]

    @cached_property
    def _by_first(self) -> dict[str, list[tuple[str, ...]]]:
        found: dict[str, list[tuple[str, ...]]] = {}
        for stems in sorted({phrase_stems(way) for way in self.ways}, key=len, reverse=True):
            if stems:
                found.setdefault(stems[0], []).append(stems)
        return found

    def spans_in(self, text: str) -> list[tuple[int, int]]:
        """Beginnings and ends of what stands in the text, in order, none within another."""
        words = list(_WORD.finditer(text))
        stems = [_stem(word[0].casefold()) for word in words]
        spans, here = [], 0
        while here < len(words):
            length = self._length_at(stems, here)
            if length:
                spans.append((words[here].start(), words[here + length - 1].end()))
            here += length or 1
        return spans

    def _length_at(self, stems: Sequence[str], here: int) -> int:
        for phrase in self._by_first.get(stems[here], ()):
            if tuple(stems[here : here + len(phrase)]) == phrase:
                return len(phrase)
        return 0


def marked(text: str, wanted: Wanted) -> list[Stretch]:
    """The whole text in stretches, each with whether it was looked for."""
    return _stretches(text, wanted.spans_in(text), 0, len(text))


def places(lines: Iterable[str], wanted: Wanted) -> list[list[Stretch]]:
    """The lines with most of what was looked for, cut to what stands around it; else the first.

    Parameters
    ----------
    lines : iterable of str
        Texts that do not belong together.
    wanted : Wanted

    Returns
    -------
    list of list of Stretch
        At most `MOST_PLACES`, in the order of the lines; empty without any line.
    """
    told = [line for line in lines if line]
    spans = [wanted.spans_in(line) for line in told]
    best = sorted(range(len(told)), key=lambda place: (-_kinds(told[place], spans[place]), place))
    shown = sorted(place for place in best[:MOST_PLACES] if spans[place])
    if not shown:
        return [_cut(told[0], [])] if told else []
    return [_cut(told[place], spans[place]) for place in shown]


def _kinds(line: str, spans: Sequence[tuple[int, int]]) -> int:
    return len({line[start:end].casefold() for start, end in spans})


def _cut(line: str, spans: Sequence[tuple[int, int]]) -> list[Stretch]:
    """Around the first of them, at the edges of words."""
    first = spans[0] if spans else (0, 0)
    start, end = max(0, first[0] - _AROUND), min(len(line), first[1] + 2 * _AROUND)
    if start:
        start = line.find(" ", start, first[0]) + 1 or first[0]
    if end < len(line):
        space = line.rfind(" ", first[1], end)
        end = space if space > 0 else first[1]
    stretches = _stretches(line, spans, start, end)
    before = [("… ", False)] if start else []
    return [*before, *stretches, *([(" …", False)] if end < len(line) else [])]


def _stretches(text: str, spans: Iterable[tuple[int, int]], start: int, end: int) -> list[Stretch]:
    found: list[Stretch] = []
    for from_, to in spans:
        if from_ < start or to > end:
            continue
        found += [(text[start:from_], False), (text[from_:to], True)]
        start = to
    return [one for one in [*found, (text[start:end], False)] if one[0]]
