"""What people of an invented plant left for the next one: notes, and pictures of what they show."""

import uuid
from collections.abc import Mapping
from datetime import datetime, time, timedelta
from typing import Any

from diagnostics.selectors.field_notes import where_named
from diagnostics.services import field_notes
from diagnostics.services.field_notes import NewNote, Subject
from plant.models import Component, Conveyor, Plant, User
from plant.roles import Role
from plant.services import attaching
from plant.services.attaching import SentFile
from workorders.services.demo_history import picturing
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read

_NAMESPACE = uuid.UUID("8b1f6d52-0f0e-4a53-9d5f-6a1f0a1c7e33")
_ENDED_AFTER = timedelta(days=40)
_AFTERNOON = time(14, 20)


def leave_notes(plant: Plant, cast: Cast, now: datetime) -> None:
    """In the order of the file, by the plant's technicians in turn."""
    technicians = cast.by_role[Role.TECHNICIAN]
    conveyors = {one.tag: one for one in plant.conveyors.all()}
    for number, said in enumerate(read("field_notes.yaml")["notes"]):
        conveyor = conveyors.get(said["tag"])
        if conveyor is not None:
            _leave(conveyor, said, number, technicians[number % len(technicians)], now)


def _leave(
    conveyor: Conveyor, said: Mapping[str, Any], number: int, by: User, now: datetime
) -> None:
    at = _afternoon(now, said["days_ago"], conveyor.plant)
    component, position_m = where_named(conveyor, said.get("at", ""))
    pictures = picturing.drawn(said["picture"]) if "picture" in said else []
    note = field_notes.write_note(
        plant=conveyor.plant,
        about=Subject(said.get("cause", ""), conveyor, component, said.get("at", ""), position_m),
        new=NewNote(uuid.uuid5(_NAMESPACE, f"{conveyor.tag} {number}"), said["text"], pictures[:1]),
        by=by,
        now=at,
    )
    if "ended" in said:
        ended_at = at + _ENDED_AFTER
        field_notes.end_note(note_id=note.pk, why=said["ended"], by=by, now=ended_at)
    for caption, content in pictures[1:]:
        _hang_up(conveyor, component, caption, content, by, at)


def _afternoon(now: datetime, days_ago: int, plant: Plant) -> datetime:
    """At the plant: the same on whichever hour of the day the demo is loaded."""
    day = plant.day_of(now) - timedelta(days=days_ago)
    return datetime.combine(day, _AFTERNOON, plant.zone_info)


def _hang_up(
    conveyor: Conveyor,
    component: Component | None,
    caption: str,
    content: bytes,
    by: User,
    at: datetime,
) -> None:
    attaching.attach(
        conveyor_id=conveyor.pk,
        sent=[SentFile(content, "drawn.jpg")],
        component_id=component.pk if component else None,
        caption=caption,
        takes_documents=False,
        by=by,
        now=at,
    )
