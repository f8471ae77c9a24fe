"""What connected systems can have words for: each room puts its vocabularies and records here."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from operator import attrgetter
from typing import Any

from django.utils.functional import Promise

from plant.models import Plant
from plant.wire_words import wire_word
from plant.wording.shape import Shape


@dataclass(frozen=True)
class Word:
    """A word of ours as it goes over the wire, and as people read it."""

    wire: str
    words: str | Promise


@dataclass(frozen=True)
class Vocabulary:
    """A closed list of words; `of` may depend on what the plant knows."""

    name: str
    place: int
    title: str | Promise
    of: Callable[[Plant], Sequence[Word]]


@dataclass(frozen=True)
class Kind:
    """A kind of record; `resource` is what scopes of keys call it.

    `fields` are those that can be renamed or copied. `newest` gives that many of the plant's as
    the lists show them. `conveyors_since` counts the records of each conveyor's tag since then.
    """

    name: str
    place: int
    title: str | Promise
    resource: str
    shape: Shape
    fields: Callable[[], Sequence[str]] = tuple
    newest: Callable[[Plant, int], list[dict[str, Any]]] | None = None
    conveyors_since: Callable[[Plant, datetime], Mapping[str, int]] | None = None


_vocabularies: dict[str, Vocabulary] = {}
_kinds: dict[str, Kind] = {}


def register_vocabulary(vocabulary: Vocabulary) -> None:
    """Called from an app's `AppConfig.ready`."""
    _vocabularies[vocabulary.name] = vocabulary


def register_kind(kind: Kind) -> None:
    """Called from an app's `AppConfig.ready`."""
    _kinds[kind.name] = kind


def vocabularies() -> list[Vocabulary]:
    return sorted(_vocabularies.values(), key=attrgetter("place"))


def vocabulary(name: str) -> Vocabulary | None:
    return _vocabularies.get(name)


def kinds() -> list[Kind]:
    return sorted(_kinds.values(), key=attrgetter("place"))


def kind(name: str) -> Kind | None:
    return _kinds.get(name)


def kind_of_resource(resource: str) -> str:
    """The first kind of record under a scope; a resource nobody described is called as it is."""
    return next((one.name for one in kinds() if one.resource == resource), resource)


def shapes() -> dict[str, Shape]:
    return {one.name: one.shape for one in _kinds.values()}


def words_of(choices: Mapping[Any, str | Promise]) -> list[Word]:
    """Of an enumeration with its words, those of the wire."""
    return [Word(wire_word(str(value)), words) for value, words in choices.items()]
