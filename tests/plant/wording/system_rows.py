"""Connected systems with words of an invented kind."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from plant.models import ConnectedSystem, Conveyor, Plant, WordingChange
from plant.services import wordings
from plant.services.wordings import Settings
from plant.wording.refusals import TAGS
from plant.wording_entries import Entry, Value

NOW = datetime(2026, 11, 2, 14, 30, tzinfo=UTC)
STATES = {
    "proposed": "10-NEW",
    "approved": "20-OK",
    "scheduled": "20-OK",
    "in_hand": "30-ON",
    "done": "40-FIN",
    "proved": "50-SHUT",
    "declined": "90-NO",
    "cancelled": "91-OFF",
}


def make_system(
    plant: Plant, name: str = "Stores ledger", *, is_on: bool = True, is_strict: bool = False
) -> ConnectedSystem:
    system = wordings.make_system(plant=plant, name=name, by=None, now=NOW)
    return wordings.change_settings(
        system_id=system.pk,
        settings=Settings(name, is_on, is_strict),
        version=system.version,
        by=None,
        now=NOW,
    )


def give(system: ConnectedSystem, wanted: Mapping[Entry, Value | None], **options: Any) -> int:
    """Change entries whatever the version is; `system` has the new version afterwards."""
    system.refresh_from_db()
    done = wordings.change_entries(
        system_id=system.pk,
        wanted=wanted,
        kind=options.pop("kind", WordingChange.Kind.WORDS),
        version=system.version,
        by=options.pop("by", None),
        now=options.pop("now", NOW),
    )
    system.refresh_from_db()
    return done


def words(part: str, theirs: Mapping[str, str], *preferred: str) -> dict[Entry, Value | None]:
    return {
        Entry(part, None, ours): Value(word, ours in preferred) for ours, word in theirs.items()
    }


def tag(conveyor: Conveyor, theirs: str, component: str = "") -> dict[Entry, Value | None]:
    return {Entry(TAGS, conveyor.pk, component): Value(theirs)}


def spoken_system(plant: Plant, *conveyors: Conveyor, **options: Any) -> ConnectedSystem:
    """Its order states are STATES, its tags begin with LWT/."""
    system = make_system(plant, **options)
    wanted = words("order_state", STATES, "approved")
    for conveyor in conveyors:
        wanted |= tag(conveyor, f"LWT/{conveyor.tag}")
    give(system, wanted)
    return system
