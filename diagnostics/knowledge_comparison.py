"""What two sets of knowledge documents say differently, entry by entry and field by field.

For drafts, editions and whatever comes from another plant alike. Documents are the plain contents
of the knowledge files by file name; entries are told apart by kind and slug. Asks nothing of the
database and changes nothing it is given.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from diagnostics.knowledge_digest import mark_of

Documents = Mapping[str, Any]
Entry = Mapping[str, Any]


class Kind(StrEnum):
    """Kinds of entries, in the order in which people look for them."""

    RULE = "rule"
    CAUSE = "cause"
    WORK_METHOD = "work_method"
    CAUTION = "caution"

    @property
    def file(self) -> str:
        return f"{self.key}.yaml"

    @property
    def key(self) -> str:
        """Under which a document lists its entries."""
        return f"{self.value}s"


@dataclass(frozen=True)
class FieldChange:
    """`path` from the entry down to what differs; None stands for not there."""

    path: tuple[str, ...]
    before: Any
    after: Any


@dataclass(frozen=True)
class EntryChange:
    """One entry that is new (`before` None), gone (`after` None) or says something else."""

    kind: Kind
    slug: str
    before: Entry | None
    after: Entry | None

    @property
    def is_new(self) -> bool:
        return self.before is None

    @property
    def is_gone(self) -> bool:
        return self.after is None

    @property
    def fields(self) -> tuple[FieldChange, ...]:
        return tuple(_differing((), self.before or {}, self.after or {}))


def compare(before: Documents, after: Documents) -> tuple[EntryChange, ...]:
    """All entries that differ: by kind, and within it those of `after` first, in their order."""
    found = []
    for kind in Kind:
        old, new = entries_of(before, kind), entries_of(after, kind)
        for slug in dict.fromkeys((*new, *old)):
            if mark_of(old.get(slug)) != mark_of(new.get(slug)):
                found.append(EntryChange(kind, slug, old.get(slug), new.get(slug)))
    return tuple(found)


def entries_of(documents: Documents, kind: Kind) -> dict[str, Entry]:
    """Entries by slug, in the order of their document."""
    return {entry["slug"]: entry for entry in documents[kind.file][kind.key]}


def with_entry(documents: Documents, kind: Kind, slug: str, entry: Entry | None) -> dict[str, Any]:
    """Documents in which this entry says something else, is new (at the end) or is gone (None)."""
    document = documents[kind.file]
    rows = [entry if one["slug"] == slug else one for one in document[kind.key]]
    if entry is not None and slug not in entries_of(documents, kind):
        rows.append(entry)
    kept = {**document, kind.key: [one for one in rows if one is not None]}
    return {**documents, kind.file: kept}


def _differing(path: tuple[str, ...], before: Any, after: Any) -> Iterator[FieldChange]:
    if before == after:
        return
    old, new = _parts(before), _parts(after)
    # What is there on one side only is told part by part too, but never as an empty nothing.
    if (old or new) and (old is not None or before is None) and (new is not None or after is None):
        for name in dict.fromkeys((*(old or {}), *(new or {}))):
            yield from _differing((*path, name), (old or {}).get(name), (new or {}).get(name))
        return
    yield FieldChange(path, before, after)


def _parts(value: Any) -> dict[str, Any] | None:
    """Named parts of a mapping or of a list of mappings; None for what is told whole."""
    if isinstance(value, Mapping):
        return dict(value)
    if isinstance(value, list) and value and all(isinstance(one, Mapping) for one in value):
        named = {_name(number, one): _nameless(one) for number, one in enumerate(value, start=1)}
        # Two parts of one name would hide each other.
        return named if len(named) == len(value) else None
    return None


def _name(number: int, part: Entry) -> str:
    return str(part.get("cause") or part.get("class") or number)


def _nameless(part: Entry) -> Any:
    """A part without its name; what has only one thing left to say is that thing."""
    rest = {name: value for name, value in part.items() if name not in ("cause", "class")}
    return next(iter(rest.values())) if len(rest) == 1 else rest
