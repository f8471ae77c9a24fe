"""Every change of the register, one row each, written by triggers of the database.

Whoever writes, and however (forms, files, `queryset.update()`, plain SQL), cannot leave a change
out. A row holds the register's row as it stood after the change, or at last for one removed;
`pgh_context` says who, see plant/acting.py. `version` and `changed_at` are no news by themselves.
"""

from typing import Any

import pghistory
from django.db import models

from plant.models.attachment import Attachment
from plant.models.belt import Belt, BeltMark, Splice
from plant.models.component import Component
from plant.models.condition_reading import ConditionReading
from plant.models.conveyor import Conveyor
from plant.models.meter_reading import MeterReading
from plant.models.plant import Plant
from plant.models.roll_change import RollChange

ADDED, CHANGED, REMOVED = "added", "changed", "removed"
# The state of a row that was there before its changes were kept.
BEGAN = "began"

_NO_NEWS: dict[type[models.Model], list[str]] = {
    Conveyor: ["version", "changed_at"],
    Component: ["version", "last_m"],
    Belt: ["version"],
    Splice: ["version"],
    BeltMark: ["version"],
    RollChange: ["version", "kept_at"],
    ConditionReading: ["version"],
    MeterReading: ["kept_at"],
    Plant: ["created_at", "is_demo"],
    # Who did it is in the context; a file never changes, and its sum says nothing to a reader.
    Attachment: [
        "version",
        "component",
        "file",
        "small_file",
        "width",
        "height",
        "size",
        "sha256",
        "sent_at",
        "sent_by",
        "taken_back_by",
    ],
}


def _changes_of(tracked: type[models.Model], name: str, under: str) -> Any:
    """The table of changes of a model; `under` is the field by which a page finds them."""
    return pghistory.create_event_model(
        tracked,
        pghistory.InsertEvent(ADDED),
        pghistory.UpdateEvent(CHANGED),
        pghistory.DeleteEvent(REMOVED),
        exclude=_NO_NEWS[tracked],
        obj_field=pghistory.ObjForeignKey(related_name="+", db_index=False),
        # With the row: a shared context row would be written anew for each row of a large file.
        context_field=pghistory.ContextJSONField(),
        context_id_field=None,  # type: ignore[arg-type]
        model_name=name,
        abstract=False,
        # Once a statement, not once a row: a file of 50,000 rows would take a minute more.
        level=pghistory.Statement,
        meta={
            "indexes": [
                models.Index(fields=["pgh_obj", "pgh_id"], name=f"{name.lower()}_of_row"),
                models.Index(fields=[under, "pgh_created_at"], name=f"{name.lower()}_newest"),
            ]
        },
    )


ConveyorChange = _changes_of(Conveyor, "ConveyorChange", "pgh_obj")
ComponentChange = _changes_of(Component, "ComponentChange", "conveyor")
BeltChange = _changes_of(Belt, "BeltChange", "conveyor")
SpliceChange = _changes_of(Splice, "SpliceChange", "belt")
BeltMarkChange = _changes_of(BeltMark, "BeltMarkChange", "belt")
RollChangeChange = _changes_of(RollChange, "RollChangeChange", "conveyor")
ConditionReadingChange = _changes_of(ConditionReading, "ConditionReadingChange", "conveyor")
MeterReadingChange = _changes_of(MeterReading, "MeterReadingChange", "conveyor")
PlantChange = _changes_of(Plant, "PlantChange", "pgh_obj")
AttachmentChange = _changes_of(Attachment, "AttachmentChange", "conveyor")
