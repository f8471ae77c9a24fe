"""Whatever writes a text of a case, and however, owes the search a new reading of that case.

The database writes what is owed in the transaction of the change: nobody can forget it.
"""

from collections.abc import Callable
from typing import TypeVar

import pgtrigger
from django.db import models

from diagnostics.models.case import Case, CaseMove
from diagnostics.models.complaint import Complaint
from diagnostics.models.diagnosis import Hypothesis
from diagnostics.models.field_note import FieldNote
from diagnostics.models.finding import Finding
from diagnostics.models.photo import Photo
from diagnostics.models.timed_look import TimedLook
from diagnostics.models.walk_down import Sighting, WalkDown

_Model = TypeVar("_Model", bound=type[models.Model])

_OWE = (
    "INSERT INTO diagnostics_searchowed (case_id) "
    "SELECT found.case_id FROM ({cases}) AS found (case_id) "
    "WHERE found.case_id IS NOT NULL; RETURN NULL;"
)
OWN_CASE = "SELECT {row}.case_id"


def owes_search(way: str, *columns: str) -> Callable[[_Model], _Model]:
    """For a model: a new row, one gone or one of the columns written owes the search its case.

    `way` is the SQL that finds the case of `{row}`, which is the row before or after.
    """
    cases = " UNION ".join(way.format(row=row) for row in ("NEW", "OLD"))
    trigger = pgtrigger.Trigger(
        name="owes_search",
        when=pgtrigger.After,
        operation=pgtrigger.Insert | pgtrigger.UpdateOf(*columns) | pgtrigger.Delete,
        func=_OWE.replace("{cases}", cases),
    )
    return pgtrigger.register(trigger)


owes_search("SELECT {row}.id", "summary", "cause", "conveyor_id", "number")(Case)
owes_search(OWN_CASE, "why")(CaseMove)
owes_search(OWN_CASE, "case_id", "words", "withdrawn_at")(Complaint)
owes_search(OWN_CASE, "remarks", "note")(WalkDown)
owes_search(
    "SELECT walk.case_id FROM diagnostics_walkdown AS walk WHERE walk.id = {row}.walk_down_id",
    "note",
    "not_seen_reason",
    "taken_back_at",
)(Sighting)
owes_search(OWN_CASE, "note", "taken_back_at")(Finding)
owes_search(OWN_CASE, "note", "taken_back_at")(TimedLook)
owes_search(OWN_CASE, "caption", "taken_back_at")(Photo)
owes_search(OWN_CASE, "judged_why", "accepted_at", "refuted_at")(Hypothesis)

# A note stands in the search as long as it holds; nobody has to read it anew.
_KEEP_NOTE = """
DELETE FROM diagnostics_searchentry WHERE note_id = COALESCE(NEW.id, OLD.id);
IF TG_OP <> 'DELETE' AND NEW.taken_back_at IS NULL AND NEW.no_longer_at IS NULL THEN
    INSERT INTO diagnostics_searchentry (kind, key, title, says, more, note_id, plant_id)
    VALUES (
        'note', NEW.id::text, left(NEW.text, 120), NEW.text,
        NEW.place || E'\\n' || replace(NEW.cause, '_', ' '), NEW.id, NEW.plant_id
    );
END IF;
RETURN NULL;
"""
_NOTE_COLUMNS = ("text", "place", "cause", "plant_id", "taken_back_at", "no_longer_at")
pgtrigger.register(
    pgtrigger.Trigger(
        name="keeps_search",
        when=pgtrigger.After,
        operation=pgtrigger.Insert | pgtrigger.UpdateOf(*_NOTE_COLUMNS) | pgtrigger.Delete,
        func=_KEEP_NOTE,
    )
)(FieldNote)
