"""The wording of a connected system, put together from its entries."""

from collections import defaultdict
from collections.abc import Iterable

from plant import wording_shelf
from plant.models import ConnectedSystem, WordingEntry
from plant.wording.refusals import TAGS
from plant.wording.wording import Fields, Wording, Words

# Parts that hold no vocabulary: added and renamed fields, each followed by the kind of record.
CONSTANT, COPY, RENAMED = "constant:", "copy:", "renamed:"
COLUMNS = ("part", "conveyor__tag", "key", "value", "is_preferred")


def wording_of(system: ConnectedSystem | None) -> Wording | None:
    """What is spoken with a system; None where both sides speak our words."""
    if system is None or not system.is_on:
        return None
    return drafted_wording(system)


def drafted_wording(system: ConnectedSystem) -> Wording:
    """The same, whether or not it is in use already."""
    entries = WordingEntry.objects.filter(system=system)
    found: dict[str, list[tuple[str, str, str, bool]]] = defaultdict(list)
    for part, tag, key, value, is_preferred in entries.values_list(*COLUMNS):
        found[part].append((tag or "", key, value, is_preferred))
    return Wording(
        shapes=wording_shelf.shapes(),
        words=_words(system, found),
        tags={(tag, key): value for tag, key, value, _preferred in found[TAGS]},
        fields=_fields(found),
        is_strict=system.is_strict,
    )


def _words(
    system: ConnectedSystem, found: dict[str, list[tuple[str, str, str, bool]]]
) -> dict[str, Words]:
    made = {}
    for vocabulary in wording_shelf.vocabularies():
        rows = found.get(vocabulary.name)
        if rows:
            made[vocabulary.name] = Words(
                theirs={key: value for _tag, key, value, _preferred in rows},
                preferred=frozenset(key for _tag, key, _value, preferred in rows if preferred),
                known=frozenset(word.wire for word in vocabulary.of(system.plant)),
            )
    return made


def _fields(found: dict[str, list[tuple[str, str, str, bool]]]) -> dict[str, Fields]:
    made = {}
    for kind in wording_shelf.kinds():
        parts = [_by_key(found.get(part + kind.name, ())) for part in (CONSTANT, COPY, RENAMED)]
        if any(parts):
            made[kind.name] = Fields(*parts)
    return made


def _by_key(rows: Iterable[tuple[str, str, str, bool]]) -> dict[str, str]:
    return {key: value for _tag, key, value, _preferred in rows}
