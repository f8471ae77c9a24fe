"""The outside system of the invented plant and the words it was given, one change after another."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from plant.models import ConnectedSystem, Plant, User, WordingChange, WordingGap
from plant.roles import Role
from plant.selectors.wordings import CONSTANT, COPY
from plant.services import wordings
from plant.services.wordings import Settings
from plant.wording.refusals import TAGS
from plant.wording_entries import Entry, Value
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read


def name_systems(plant: Plant, cast: Cast, now: datetime) -> None:
    for one in read("systems.yaml")["systems"]:
        if one["plant"] == plant.code:
            by = next(iter(cast.by_role.get(Role.ADMINISTRATOR, ())), None)
            _name(plant, one, by, now)


def _name(plant: Plant, said: Mapping[str, Any], by: User | None, now: datetime) -> None:
    began = now - timedelta(days=said["words"][0]["days_ago"] + 1)
    system = wordings.make_system(
        plant=plant, name=said["name"], note=said["note"], by=by, now=began
    )
    kinds = WordingChange.Kind
    steps = [(words, _words(words), kinds.WORDS) for words in said["words"]]
    steps.append((said["tags"], _tags(plant, said["tags"]), kinds.TAG_FILE))
    steps.append((said["fields"], _fields(said["fields"]), kinds.FIELDS))
    # The history tells them in the order of time.
    for step, wanted, kind in sorted(steps, key=lambda one: -one[0]["days_ago"]):
        _change(system, step, wanted, kind, by, now)
    _switch_on(system, said, by, now)
    for gap in said["came_in"]:
        _came_in(system, gap, now)


def _change(
    system: ConnectedSystem,
    said: Mapping[str, Any],
    wanted: Mapping[Entry, Value | None],
    kind: WordingChange.Kind,
    by: User | None,
    now: datetime,
) -> None:
    system.refresh_from_db()
    wordings.change_entries(
        system_id=system.pk,
        wanted=wanted,
        kind=kind,
        version=system.version,
        by=by,
        now=now - timedelta(days=said["days_ago"]),
    )


def _words(said: Mapping[str, Any]) -> dict[Entry, Value | None]:
    preferred = said.get("preferred", ())
    return {
        Entry(said["vocabulary"], None, ours): Value(theirs, ours in preferred)
        for ours, theirs in said["theirs"].items()
    }


def _tags(plant: Plant, said: Mapping[str, Any]) -> dict[Entry, Value | None]:
    conveyors = {one.tag: one.pk for one in plant.conveyors.all()}
    found: dict[Entry, Value | None] = {
        Entry(TAGS, pk, ""): Value(f"{said['begins']}{tag}")
        for tag, pk in conveyors.items()
        if tag not in said["left_out"]
    }
    for one in said["components"]:
        found[Entry(TAGS, conveyors[one["conveyor"]], one["component"])] = Value(one["tag"])
    return found


def _fields(said: Mapping[str, Any]) -> dict[Entry, Value | None]:
    return {
        Entry(part + kind, None, name): Value(value)
        for part, kinds in ((CONSTANT, said["constant"]), (COPY, said["copy"]))
        for kind, fields in kinds.items()
        for name, value in fields.items()
    }


def _switch_on(
    system: ConnectedSystem, said: Mapping[str, Any], by: User | None, now: datetime
) -> None:
    system.refresh_from_db()
    wordings.change_settings(
        system_id=system.pk,
        settings=Settings(said["name"], said["is_on"], is_strict=False, note=said["note"]),
        version=system.version,
        by=by,
        now=now - timedelta(days=said["switched_on_days_ago"]),
    )


def _came_in(system: ConnectedSystem, said: Mapping[str, Any], now: datetime) -> None:
    at = now - timedelta(hours=said["hours_ago"])
    WordingGap.objects.create(
        system=system,
        way=WordingGap.Way.IN,
        part=said["vocabulary"],
        word=said["word"],
        times=said["times"],
        first_at=at,
        last_at=at,
    )
