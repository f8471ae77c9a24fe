"""What a system's wording leaves open, and what of it was met lately."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta

from plant import wording_shelf
from plant.models import ConnectedSystem, Conveyor, WordingGap
from plant.selectors.wordings import drafted_wording
from plant.wording.checking import Gap, gaps_in_words, tags_given_twice, untagged
from plant.wording.refusals import TAGS
from plant.wording.wording import Wording
from plant.wording_shelf import Vocabulary

LATELY = timedelta(days=31)
# What was met lately is a help to whoever fills words in, not a record.
_MOST_MET = 50


@dataclass(frozen=True)
class VocabularyChecked:
    """`filled` of `all` words have one; `gaps` are those that do harm or are missing."""

    vocabulary: Vocabulary
    filled: int
    all: int
    gaps: list[Gap]


@dataclass(frozen=True)
class Checked:
    """`busy` are records of the last month by conveyors that have no tag, the most first."""

    wording: Wording
    vocabularies: list[VocabularyChecked]
    twice: list[Gap]
    busy: list[tuple[str, int]]
    met_in: list[WordingGap]
    met_out: list[WordingGap]
    tagged: int
    conveyors: int

    @property
    def count(self) -> int:
        open_words = sum(len(one.gaps) for one in self.vocabularies)
        return open_words + len(self.twice) + len(self.busy) + len(self.met_in)


def checked(system: ConnectedSystem, now: datetime) -> Checked:
    wording = drafted_wording(system)
    tags = set(_conveyors(system))
    met = [gap for gap in _met(system, now) if not _is_answered(wording, gap)]
    return Checked(
        wording=wording,
        vocabularies=[_checked(system, wording, one) for one in wording_shelf.vocabularies()],
        twice=tags_given_twice(wording),
        busy=_busy(system, wording, now),
        met_in=[gap for gap in met if gap.way == WordingGap.Way.IN],
        met_out=[gap for gap in met if gap.way == WordingGap.Way.OUT],
        tagged=sum((tag, "") in wording.tags for tag in tags),
        conveyors=len(tags),
    )


def _checked(
    system: ConnectedSystem, wording: Wording, vocabulary: Vocabulary
) -> VocabularyChecked:
    words = wording.words.get(vocabulary.name)
    known = {word.wire for word in vocabulary.of(system.plant)}
    if words is None:
        return VocabularyChecked(vocabulary, 0, len(known), [])
    filled = len(known & words.theirs.keys())
    return VocabularyChecked(vocabulary, filled, len(known), gaps_in_words(words))


def _conveyors(system: ConnectedSystem) -> list[str]:
    rows = Conveyor.objects.in_service().filter(plant_id=system.plant_id)
    return list(rows.values_list("tag", flat=True))


def _busy(system: ConnectedSystem, wording: Wording, now: datetime) -> list[tuple[str, int]]:
    counts: Counter[str] = Counter()
    if wording.tags:
        for kind in wording_shelf.kinds():
            if kind.conveyors_since is not None:
                counts.update(kind.conveyors_since(system.plant, now - LATELY))
    found = untagged(wording, counts)
    return sorted(found.items(), key=lambda one: (-one[1], one[0]))


def _met(system: ConnectedSystem, now: datetime) -> list[WordingGap]:
    rows = WordingGap.objects.filter(system=system, last_at__gte=now - LATELY)
    return list(rows[:_MOST_MET])


def _is_answered(wording: Wording, gap: WordingGap) -> bool:
    """Filled in since, or given up altogether."""
    if gap.part == TAGS:
        if gap.way == WordingGap.Way.IN:
            return gap.word in wording.places
        return not wording.tags or (gap.word, "") in wording.tags
    words = wording.words.get(gap.part)
    if words is None:
        return True
    if gap.way == WordingGap.Way.OUT:
        return gap.word in words.theirs
    return gap.word in words.ours and words.meant_by(gap.word) is not None
