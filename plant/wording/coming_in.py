"""What a connected system sends, into our words."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from plant.wording.refusals import TAGS, Missed, Why, WordRefused
from plant.wording.shape import Shape

if TYPE_CHECKING:
    from plant.wording.wording import Wording

# Where a body holds several rows at once.
_ITEMS = "items"


class Reader:
    """Walks one body; `missed` gets asset tags that nobody knows here, which went through."""

    def __init__(self, wording: "Wording", kind: str, missed: set[Missed]) -> None:
        self._wording = wording
        self._shape = wording.shape_of(kind)
        self._fields = wording.fields.get(kind)
        self._missed = missed

    def read(self, body: Any) -> Any:
        if not isinstance(body, dict):
            return self._value(body, self._shape)
        if isinstance(body.get(_ITEMS), list):
            items = [self.read(one) for one in body[_ITEMS]]
            return {**self._value({**body, _ITEMS: None}, self._shape), _ITEMS: items}
        return self._value(self._named(body), self._shape)

    def asked_for(self, name: str, value: str) -> Sequence[str]:
        """The words of ours that a value of a filter asks for."""
        if name in self._shape.conveyors:
            return [self._place(value, name)[0]]
        if name in self._shape.components:
            return [self._component(value, "")]
        if name in self._shape.words:
            known = self._wording.words.get(self._shape.words[name])
            if known is not None and value in known.ours:
                return known.ours[value]
            return [self._word(name, value, self._shape)]
        return [value]

    def _named(self, body: dict[str, Any]) -> dict[str, Any]:
        """Fields under our names; what we add for the system says nothing to us."""
        if self._fields is None:
            return body
        ours = {theirs: name for name, theirs in self._fields.renamed.items()}
        added = (self._fields.constants.keys() | self._fields.copies.keys()) - ours.keys()
        read: dict[str, Any] = {}
        for name, value in body.items():
            our_name = ours.get(name, name)
            if our_name in read:
                raise WordRefused(Why.TWICE, our_name, name, [name], field=name)
            if name not in added:
                read[our_name] = value
        return read

    def _value(self, value: Any, shape: Shape) -> Any:
        if isinstance(value, dict):
            return self._row(value, shape)
        if isinstance(value, list):
            return [self._value(one, shape) for one in value]
        return value

    def _row(self, row: dict[str, Any], shape: Shape) -> dict[str, Any]:
        conveyor, component = self._conveyor_in(row, shape)
        read = {name: self._field(name, one, shape, conveyor) for name, one in row.items()}
        if component and not any(read.get(name) for name in shape.components):
            # An asset tag can name more than the conveyor.
            read |= dict.fromkeys(shape.components[:1], component)
        return read

    def _conveyor_in(self, row: dict[str, Any], shape: Shape) -> tuple[str, str]:
        for name in shape.conveyors:
            value = row.get(name)
            tag = value.get("tag") if isinstance(value, dict) else value
            if isinstance(tag, str):
                return self._place(tag, name)
        return "", ""

    def _field(self, name: str, value: Any, shape: Shape, conveyor: str) -> Any:
        if name in shape.conveyors and conveyor:
            if isinstance(value, str):
                return conveyor
            return {**value, "tag": conveyor} if isinstance(value, dict) else value
        if isinstance(value, str):
            if name in shape.words:
                return self._word(name, value, shape)
            return self._component(value, conveyor) if name in shape.components else value
        if name in shape.words and isinstance(value, list):
            return [self._field(name, one, shape, conveyor) for one in value]
        return self._value(value, shape.within.get(name, shape))

    def _word(self, name: str, word: str, shape: Shape) -> str:
        vocabulary = shape.words[name]
        known = self._wording.words.get(vocabulary)
        if known is None or not known.theirs:
            return word
        if word in known.ours:
            meant = known.meant_by(word)
            if meant is None:
                raise WordRefused(Why.AMBIGUOUS, vocabulary, word, known.ours[word], field=name)
            return meant
        if word in known.known and not self._wording.is_strict:
            return word
        raise WordRefused(Why.UNKNOWN, vocabulary, word, known.ours, field=name)

    def _place(self, tag: str, name: str) -> tuple[str, str]:
        """Conveyor and component of an asset tag; an unknown one may be our own tag."""
        places = self._wording.places.get(tag, ())
        if len(places) == 1:
            return places[0]
        if places:
            several = [" ".join(filter(None, place)) for place in places]
            raise WordRefused(Why.AMBIGUOUS, TAGS, tag, several, field=name)
        if self._wording.tags:
            if self._wording.is_strict:
                raise WordRefused(Why.UNKNOWN, TAGS, tag, self._wording.places, field=name)
            self._missed.add(Missed(TAGS, tag))
        return tag, ""

    def _component(self, value: str, conveyor: str) -> str:
        for at, name in self._wording.places.get(value, ()):
            if name and conveyor in {"", at}:
                return name
        return value
