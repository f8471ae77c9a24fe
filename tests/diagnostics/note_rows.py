"""Notes from the field, kept by the service."""

import uuid
from typing import Any

from diagnostics.models import Case, FieldNote
from diagnostics.services import field_notes
from diagnostics.services.field_notes import NewNote, Subject
from plant.models import Conveyor
from tests.diagnostics.factories import NOW
from tests.plant.drawn_pictures import a_jpeg


def new(text: str = "The left bearing foot is slotted.", photos: int = 0) -> NewNote:
    sent = [(f"{one}.jpg", a_jpeg(40 + one, 30)) for one in range(photos)]
    return NewNote(uuid.uuid4(), text, sent)


def write(on: Case | Conveyor, text: str = "", *, photos: int = 0, **how: Any) -> FieldNote:
    """On a conveyor, or on that of a case; `component` is one's name."""
    conveyor = on.conveyor if isinstance(on, Case) else on
    name = how.pop("component", "")
    component = conveyor.components.get(name=name) if name else None
    places = how.pop("place", ""), how.pop("position_m", None)
    about = Subject(how.pop("cause", ""), conveyor, component, *places)
    given = {"by": None, "now": NOW, **how}
    said = new(text, photos) if text else new(photos=photos)
    return field_notes.write_note(plant=conveyor.plant, about=about, new=said, **given)
