"""The notes from the field on the pages of a cause, a conveyor and a component."""

from typing import Any

from django.http import HttpRequest

from diagnostics.selectors import field_notes
from diagnostics.selectors.catalogue import CauseOfPlant
from diagnostics.selectors.field_notes import Notes
from plant import access
from plant.models import Component, Conveyor, Plant
from plant.roles import Permission


def on_cause(request: HttpRequest, row: CauseOfPlant) -> dict[str, Any] | None:
    if row.plant is None:
        return None
    notes = field_notes.notes_on_cause(row.plant.pk, row.cause.slug)
    return _context_of(request, row.plant, notes, f"cause={row.cause.slug}")


def on_conveyor(request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    notes = field_notes.notes_on_conveyor(conveyor)
    return _context_of(request, conveyor.plant, notes, f"conveyor={conveyor.pk}")


def on_component(request: HttpRequest, component: Component) -> dict[str, Any]:
    notes = field_notes.notes_on_component(component)
    return _context_of(request, component.conveyor.plant, notes, f"component={component.pk}")


def _context_of(request: HttpRequest, plant: Plant, notes: Notes, about: str) -> dict[str, Any]:
    """`about` is what a new note, and the list of all of them, are about."""
    return {
        "plant": plant,
        "notes": notes,
        "about": f"?plant={plant.code}&{about}",
        "may_write": access.may(request.user, Permission.WALK_DOWN),
    }
