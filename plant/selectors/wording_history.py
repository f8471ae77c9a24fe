"""Who changed what in a system's wording, in words."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from plant import wording_shelf
from plant.models import ConnectedSystem, Conveyor, WordingChange
from plant.selectors.wordings import CONSTANT, COPY, RENAMED
from plant.wording.refusals import TAGS
from plant.wording_entries import Entry, Value
from plant.wording_words import part_words

# Under which settings stand in changes; no word is kept under it.
SETTING = "setting"
_MOST = 12
_NOTHING = "—"


@dataclass(frozen=True)
class Told:
    """One entry as it changed; texts are empty-handed as a dash."""

    part: str
    ours: str
    old: str
    new: str


@dataclass(frozen=True)
class ChangeTold:
    """`more` entries are not listed."""

    change: WordingChange
    entries: list[Told]
    more: int


def told(system: ConnectedSystem, changes: list[WordingChange]) -> list[ChangeTold]:
    """Of one page of changes, with one query for the conveyors they name."""
    shown = [(change, list(read_entries(change))[:_MOST]) for change in changes]
    named = {entry.conveyor_id for _change, entries in shown for entry, _old, _new in entries}
    tags = _tags(system, named)
    return [
        ChangeTold(
            change,
            [tell(tags, *entry) for entry in entries],
            len(change.entries) - len(entries),
        )
        for change, entries in shown
    ]


def tell_wanted(
    system: ConnectedSystem,
    stands: Mapping[Entry, Value | None],
    wanted: Mapping[Entry, Value | None],
) -> list[Told]:
    """What going back would change."""
    differ = [one for one, value in wanted.items() if stands.get(one) != value]
    tags = _tags(system, {entry.conveyor_id for entry in differ})
    return [tell(tags, one, stands.get(one), wanted[one]) for one in differ]


def read_entries(change: WordingChange) -> list[tuple[Entry, Value | None, Value | None]]:
    return [
        (
            Entry(part, conveyor_id, key),
            None if old is None else Value(*old),
            None if new is None else Value(*new),
        )
        for part, conveyor_id, key, old, new in change.entries
    ]


def state_at(system: ConnectedSystem, number: int) -> dict[Entry, Value | None]:
    """What each entry that was changed since then was after that change."""
    then: dict[Entry, Value | None] = {}
    later = WordingChange.objects.filter(system=system, number__gt=number)
    # The newest first: what an older one overwrote is what stood before.
    for change in later.order_by("-number"):
        for entry, old, _new in read_entries(change):
            then[entry] = old
    return then


def tell(
    tags: Mapping[int | None, str], entry: Entry, old: Value | None, new: Value | None
) -> Told:
    return Told(_part(entry.part), _ours(tags, entry), _text(old), _text(new))


def _tags(system: ConnectedSystem, named: set[int | None]) -> dict[int | None, str]:
    rows = Conveyor.objects.filter(
        plant_id=system.plant_id, pk__in=[pk for pk in named if pk is not None]
    )
    return dict(rows.values_list("pk", "tag"))


def _part(part: str) -> str:
    if part == SETTING:
        return _("Settings")
    for prefix, words in (
        (CONSTANT, _("added fields")),
        (COPY, _("added fields")),
        (RENAMED, _("renamed fields")),
    ):
        if part.startswith(prefix):
            kind = wording_shelf.kind(part.removeprefix(prefix))
            return f"{kind.title if kind else part}, {words}"
    return str(part_words(part))


def _ours(tags: Mapping[int | None, str], entry: Entry) -> str:
    if entry.part == TAGS:
        conveyor = tags.get(entry.conveyor_id, _("a conveyor that is gone"))
        return f"{conveyor} {entry.key}".strip()
    settings: dict[str, Any] = {
        "name": _("name"),
        "note": _("note"),
        "is_on": _("speaks its own words"),
        "is_strict": _("nothing without a word"),
    }
    return str(settings[entry.key]) if entry.part == SETTING else entry.key


def _text(value: Value | None) -> str:
    if value is None:
        return _NOTHING
    return f"{value.text} ({_('meant when it comes in')})" if value.is_preferred else value.text
