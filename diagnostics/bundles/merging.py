"""A bundle put upon what a plant says: what would be different, and what is wanted of a draft."""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from diagnostics.knowledge_comparison import Documents, Entry, EntryChange, Kind, compare

_COUNTED_HERE = ("version",)


@dataclass(frozen=True)
class KindCounts:
    """How the entries of one kind compare; `gone` are those that only the plant has."""

    kind: Kind
    new: int
    changed: int
    same: int
    gone: int

    @property
    def differing(self) -> int:
        return self.new + self.changed


def differences(
    ours: Documents, theirs: Mapping[str, list[Entry]], *, is_dropping: bool
) -> tuple[EntryChange, ...]:
    """What becomes of `ours` by the entries of a bundle, listed by the key of their kind.

    Entries a bundle does not have stay, unless `is_dropping`; kinds it does not speak of stay
    whole. That a rule only counts its versions otherwise is no difference: each plant counts
    its own.
    """
    after = dict(ours)
    for kind in Kind:
        if kind.key in theirs:
            document = ours[kind.file]
            rows = _merged(document[kind.key], theirs[kind.key], is_dropping=is_dropping)
            after[kind.file] = {**document, kind.key: rows}
    return compare(ours, after)


def counts(ours: Documents, theirs: Mapping[str, list[Entry]]) -> list[KindCounts]:
    """For each kind the bundle speaks of."""
    said = Counter(
        (one.kind, "new" if one.is_new else "gone" if one.is_gone else "changed")
        for one in differences(ours, theirs, is_dropping=True)
    )
    found = []
    for kind in (one for one in Kind if one.key in theirs):
        new, changed = said[kind, "new"], said[kind, "changed"]
        same = len(theirs[kind.key]) - new - changed
        found.append(KindCounts(kind, new, changed, same, said[kind, "gone"]))
    return found


def only(theirs: Mapping[str, list[Entry]], kinds: Collection[Kind]) -> dict[str, list[Entry]]:
    """The entries of some kinds."""
    return {kind.key: theirs[kind.key] for kind in kinds if kind.key in theirs}


def _merged(ours: list[Entry], theirs: list[Entry], *, is_dropping: bool) -> list[Entry]:
    sent = {one["slug"]: one for one in theirs}
    known = {one["slug"] for one in ours}
    kept = [
        _said_by_either(one, sent[one["slug"]]) if one["slug"] in sent else one
        for one in ours
        if not is_dropping or one["slug"] in sent
    ]
    return [*kept, *(one for one in theirs if one["slug"] not in known)]


def _said_by_either(ours: Entry, theirs: Entry) -> Entry:
    counted = {name: ours[name] for name in _COUNTED_HERE if name in ours}
    theirs = {**theirs, **counted}
    # 8 and 8.0 are one number to whoever wrote them by hand.
    return ours if ours == theirs else theirs
