"""Connected systems and their words: added, changed, gone back, removed.

Every change is kept with old and new of each entry, so that any earlier state can come back.
"""

import logging
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import ConnectedSystem, Conveyor, Plant, User, WordingChange, WordingEntry
from plant.selectors import wording_history
from plant.selectors.wording_history import SETTING
from plant.wording_entries import Entry, Value

logger = logging.getLogger(__name__)

_YES, _NO = "yes", "no"
_BATCH = 1000


class SystemNameTaken(DomainError):
    code = "system_name_taken"


class SystemChangedMeanwhile(DomainError):
    code = "system_changed_meanwhile"


class SystemIsUsed(DomainError):
    code = "system_is_used"


class NoSuchState(DomainError):
    code = "no_such_state"


@dataclass(frozen=True)
class Settings:
    name: str
    is_on: bool
    is_strict: bool
    note: str = ""

    @property
    def entries(self) -> dict[Entry, Value | None]:
        told = {
            "name": self.name,
            "is_on": _YES if self.is_on else _NO,
            "is_strict": _YES if self.is_strict else _NO,
            "note": self.note,
        }
        return {
            Entry(SETTING, None, name): Value(text) if text else None for name, text in told.items()
        }


@transaction.atomic
def make_system(
    *, plant: Plant, name: str, note: str = "", by: User | None, now: datetime
) -> ConnectedSystem:
    """Add a system that speaks our words until it is switched on; refuses with SystemNameTaken."""
    if ConnectedSystem.objects.filter(plant=plant, name__iexact=name).exists():
        raise SystemNameTaken(_("This plant has a system of that name. Give another name."))
    system = ConnectedSystem.objects.create(
        plant=plant, name=name, note=note, made_at=now, made_by=by
    )
    _keep(system, WordingChange.Kind.MADE, [], by=by, now=now)
    logger.info("Connected system %s of %s added by %s.", system.pk, plant.code, by)
    return system


@transaction.atomic
def change_settings(
    *, system_id: int, settings: Settings, version: int, by: User | None, now: datetime
) -> ConnectedSystem:
    """Name, note, on and strict; refuses with SystemNameTaken and SystemChangedMeanwhile."""
    system = _locked(system_id, version)
    changed = _apply(system, settings.entries)
    if changed:
        _keep(system, WordingChange.Kind.SETTINGS, changed, by=by, now=now)
    return system


@transaction.atomic
def change_entries(
    *,
    system_id: int,
    wanted: Mapping[Entry, Value | None],
    kind: WordingChange.Kind,
    version: int,
    by: User | None,
    now: datetime,
) -> int:
    """Give words their values, None to take one away; returns how many were changed.

    Refuses with SystemChangedMeanwhile.
    """
    system = _locked(system_id, version)
    changed = _apply(system, wanted)
    if changed:
        _keep(system, kind, changed, by=by, now=now)
    return len(changed)


@transaction.atomic
def go_back(
    *, system_id: int, to_number: int, version: int, by: User | None, now: datetime
) -> ConnectedSystem:
    """Make everything as it was after that change; itself a change, so that it can be undone.

    Refuses with SystemChangedMeanwhile, NoSuchState and SystemNameTaken.
    """
    system = _locked(system_id, version)
    if not WordingChange.objects.filter(system=system, number=to_number).exists():
        raise NoSuchState(_("There is no such earlier state."))
    changed = _apply(system, wording_history.state_at(system, to_number))
    if changed:
        _keep(system, WordingChange.Kind.BACK, changed, by=by, now=now, to_number=to_number)
    return system


@transaction.atomic
def remove_system(*, system_id: int, version: int, by: User | None) -> None:
    """Remove a system with its words and history.

    Refuses with SystemChangedMeanwhile, and with SystemIsUsed while something speaks its words:
    that would go on in ours without anybody having said so.
    """
    system = _locked(system_id, version)
    if system.keys.filter(revoked=False).exists():
        raise SystemIsUsed(_("Keys of this system still work. Revoke them first."))
    # Behind the lock nobody begins to use it: a row that names it would wait for us.
    if system.webhook_targets.exists() or system.exchange_settings.exists():
        raise SystemIsUsed(
            _("Webhooks or files still speak its words. Take it off them first, or end them.")
        )
    system.keys.update(system=None)
    system.delete()
    logger.info("Connected system %s removed by %s.", system_id, by)


def standing(system: ConnectedSystem) -> dict[Entry, Value | None]:
    """Everything that is kept of a system, its settings too."""
    rows = WordingEntry.objects.filter(system=system)
    words: dict[Entry, Value | None] = {
        Entry(row.part, row.conveyor_id, row.key): Value(row.value, row.is_preferred)
        for row in rows
    }
    settings = Settings(system.name, system.is_on, system.is_strict, system.note)
    return words | settings.entries


def _locked(system_id: int, version: int) -> ConnectedSystem:
    system = ConnectedSystem.objects.select_for_update().get(pk=system_id)
    if system.version != version:
        raise SystemChangedMeanwhile(
            _("Somebody changed this system meanwhile. Look at what stands now, then go on.")
        )
    return system


def _apply(system: ConnectedSystem, wanted: Mapping[Entry, Value | None]) -> list[list[Any]]:
    settings = {entry: value for entry, value in wanted.items() if entry.part == SETTING}
    words = {entry: value for entry, value in wanted.items() if entry.part != SETTING}
    return _apply_settings(system, settings) + _apply_words(system, words)


def _apply_settings(
    system: ConnectedSystem, wanted: Mapping[Entry, Value | None]
) -> list[list[Any]]:
    if not wanted:
        return []
    stands = Settings(system.name, system.is_on, system.is_strict, system.note).entries
    changed = [
        _told(entry, stands[entry], value)
        for entry, value in wanted.items()
        if stands[entry] != value
    ]
    then = {**stands, **wanted}
    texts = {entry.key: value.text if value else "" for entry, value in then.items()}
    system.name, system.note = texts["name"], texts["note"]
    system.is_on, system.is_strict = texts["is_on"] == _YES, texts["is_strict"] == _YES
    others = ConnectedSystem.objects.filter(plant_id=system.plant_id).exclude(pk=system.pk)
    if others.filter(name__iexact=system.name).exists():
        raise SystemNameTaken(_("This plant has a system of that name. Give another name."))
    system.save(update_fields=["name", "note", "is_on", "is_strict"])
    return changed


def _apply_words(system: ConnectedSystem, wanted: Mapping[Entry, Value | None]) -> list[list[Any]]:
    stands = {
        Entry(row.part, row.conveyor_id, row.key): row
        for row in WordingEntry.objects.filter(system=system)
    }
    there = _conveyors_there(system, wanted)
    changed, added, altered, removed = [], [], [], []
    for entry, value in wanted.items():
        row = stands.get(entry)
        old = Value(row.value, row.is_preferred) if row else None
        if old == value or (entry.conveyor_id is not None and entry.conveyor_id not in there):
            continue
        changed.append(_told(entry, old, value))
        if row is None and value is not None:
            added.append(WordingEntry(system=system, **_columns(entry, value)))
        elif row is not None and value is None:
            removed.append(row.pk)
        elif row is not None and value is not None:
            row.value, row.is_preferred = value
            altered.append(row)
    WordingEntry.objects.filter(pk__in=removed).delete()
    WordingEntry.objects.bulk_update(altered, ["value", "is_preferred"], batch_size=_BATCH)
    WordingEntry.objects.bulk_create(added, batch_size=_BATCH)
    return changed


def _conveyors_there(system: ConnectedSystem, wanted: Mapping[Entry, Value | None]) -> set[int]:
    """A conveyor may have gone since an earlier state; one of another plant is never there."""
    named = {entry.conveyor_id for entry in wanted if entry.conveyor_id is not None}
    mine = Conveyor.objects.filter(plant_id=system.plant_id, pk__in=named)
    return set(mine.values_list("pk", flat=True))


def _columns(entry: Entry, value: Value) -> dict[str, Any]:
    return {**entry._asdict(), "value": value.text, "is_preferred": value.is_preferred}


def _told(entry: Entry, old: Value | None, new: Value | None) -> list[Any]:
    return [*entry, None if old is None else [*old], None if new is None else [*new]]


def _keep(
    system: ConnectedSystem,
    kind: WordingChange.Kind,
    changed: list[list[Any]],
    *,
    by: User | None,
    now: datetime,
    to_number: int | None = None,
) -> None:
    """The version of a system is the number of its last change."""
    if kind is not WordingChange.Kind.MADE:
        system.version += 1
        system.save(update_fields=["version"])
    WordingChange.objects.create(
        system=system,
        number=system.version,
        kind=kind,
        to_number=to_number,
        entries=changed,
        at=now,
        by=by,
    )
