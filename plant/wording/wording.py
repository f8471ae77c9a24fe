"""The words of one connected system, and the way through them in both directions."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from plant.wording import coming_in, going_out
from plant.wording.going_out import ASSET_TAG
from plant.wording.refusals import TAGS, Missed, Why, WordRefused
from plant.wording.shape import PLAIN, Shape

# The vocabulary of what happened to a row of a change feed.
CHANGE_KIND = "change_kind"
Record = dict[str, Any]


@dataclass(frozen=True)
class Words:
    """One vocabulary: `theirs` by ours; `known` are all words of ours.

    Of several words of ours that share one of theirs, the one in `preferred` is meant when it
    comes in. A vocabulary for which nothing was filled in is spoken in our words by both sides.
    """

    theirs: Mapping[str, str]
    preferred: frozenset[str] = frozenset()
    known: frozenset[str] = frozenset()

    @cached_property
    def ours(self) -> Mapping[str, tuple[str, ...]]:
        found: dict[str, list[str]] = {}
        for our_word, their_word in self.theirs.items():
            found.setdefault(their_word, []).append(our_word)
        return {one: tuple(sorted(several)) for one, several in found.items()}

    def meant_by(self, their_word: str) -> str | None:
        """The word of ours that is meant; None when nobody said which of several."""
        several = self.ours[their_word]
        if len(several) == 1:
            return several[0]
        wanted = [one for one in several if one in self.preferred]
        return wanted[0] if len(wanted) == 1 else None


@dataclass(frozen=True)
class Fields:
    """What is added to and renamed in the rows of one kind.

    `constants` and `copies` are by the name of the added field; a copy's source is a field under
    our name (`conveyor.name`), or `asset_tag`, the nearest asset tag there is.
    """

    constants: Mapping[str, str] = field(default_factory=dict)
    copies: Mapping[str, str] = field(default_factory=dict)
    renamed: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Wording:
    """`tags` are asset tags by conveyor and component, the latter empty for the conveyor itself.

    Strict: what has no word is refused instead of going through in our words. Components need no
    tag of their own; many systems know conveyors only.
    """

    shapes: Mapping[str, Shape]
    words: Mapping[str, Words] = field(default_factory=dict)
    tags: Mapping[tuple[str, str], str] = field(default_factory=dict)
    fields: Mapping[str, Fields] = field(default_factory=dict)
    is_strict: bool = False

    def to_theirs(self, kind: str, record: Any, missed: set[Missed] | None = None) -> Any:
        """A record, or an answer that holds records, in the system's words.

        Parameters
        ----------
        kind : str
            What the record tells of, as a change feed says in `of`: `work_order`.
        record : dict or list
            As our lists and feeds show it; it is not changed.
        missed : set, optional
            Gets the words that had no answer and went through as they were.

        Raises
        ------
        WordRefused
            A word has no answer and the wording is strict.
        """
        return going_out.Teller(self, kind, set() if missed is None else missed).told(record)

    def change_to_theirs(self, change: Record, missed: set[Missed] | None = None) -> Record:
        """A change as the feeds tell it, with its record; raises as `to_theirs` does."""
        met = set() if missed is None else missed
        kind = self.word_out(CHANGE_KIND, change["kind"], met)
        record = self.to_theirs(change["of"], change["record"], met)
        return {**change, "kind": kind, "record": record}

    def to_ours(self, kind: str, body: Any, missed: set[Missed] | None = None) -> Any:
        """What the system sent, in our words; raises WordRefused for a word that is none."""
        return coming_in.Reader(self, kind, set() if missed is None else missed).read(body)

    def values_to_ours(
        self,
        kind: str,
        name: str,
        values: Sequence[str],
        missed: set[Missed] | None = None,
    ) -> list[str]:
        """Values a list is narrowed by: one of their words asks for all of ours it stands for."""
        reader = coming_in.Reader(self, kind, set() if missed is None else missed)
        return [one for value in values for one in reader.asked_for(name, value)]

    def name_to_ours(self, kind: str, name: str) -> str:
        """What we call a field of theirs; an unknown name stays as it is."""
        fields = self.fields.get(kind)
        if fields is None:
            return name
        return next((ours for ours, theirs in fields.renamed.items() if theirs == name), name)

    def names_to_ours(self, kind: str, names: Sequence[str]) -> list[str]:
        """Fields of ours that are needed to tell those of theirs, in the order of first need."""
        fields, shape = self.fields.get(kind), self.shape_of(kind)
        if fields is None:
            return list(names)
        needed: list[str] = []
        for name in names:
            source = fields.copies.get(name)
            if source == ASSET_TAG:
                needed += [*shape.conveyors[:1], *shape.components[:1]]
            elif source is not None:
                needed.append(source.partition(".")[0])
            elif name not in fields.constants:
                needed.append(self.name_to_ours(kind, name))
        is_plain = needed == list(names)
        # A row is known by its marks, which are taken off again by whoever asked.
        return list(dict.fromkeys(needed if is_plain else [*needed, *sorted(shape.marks)]))

    def shape_of(self, kind: str) -> Shape:
        return self.shapes.get(kind, PLAIN)

    def word_out(self, vocabulary: str, word: str, missed: set[Missed], where: str = "") -> str:
        known = self.words.get(vocabulary)
        if known is None or not known.theirs:
            return word
        theirs = known.theirs.get(word)
        return self._or_missed(theirs, vocabulary, word, missed, where)

    def conveyor_out(self, tag: str, missed: set[Missed], where: str = "") -> str:
        if not self.tags:
            return tag
        return self._or_missed(self.tags.get((tag, "")), TAGS, tag, missed, where)

    def component_out(self, conveyor: str, name: str) -> str:
        return self.tags.get((conveyor, name), name)

    @cached_property
    def places(self) -> Mapping[str, tuple[tuple[str, str], ...]]:
        """Conveyor and component by asset tag; more than one where a tag was given twice."""
        found: dict[str, list[tuple[str, str]]] = {}
        for place, tag in self.tags.items():
            found.setdefault(tag, []).append(place)
        return {tag: tuple(sorted(places)) for tag, places in found.items()}

    def _or_missed(
        self, theirs: str | None, part: str, word: str, missed: set[Missed], where: str
    ) -> str:
        if theirs is not None:
            return theirs
        if self.is_strict:
            raise WordRefused(Why.MISSING, part, word, field=where)
        missed.add(Missed(part, word))
        return word
