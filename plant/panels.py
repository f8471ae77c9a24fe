"""What the register adds to the Today page and to the sheet of a conveyor."""

from typing import Any

from django.http import HttpRequest

from plant import access, attachment_access
from plant.models import Component, Conveyor
from plant.roles import Permission
from plant.selectors import attachments, condition, meters, register_questions, rolls

_ROWS = 8
_LATEST = 3


def on_today(request: HttpRequest, _row: Any) -> dict[str, Any] | None:
    """Conveyors whose register asks something, for those who can answer."""
    if not access.may(request.user, Permission.KEEP_REGISTER):
        return None
    conveyors = access.visible(Conveyor.objects.in_service(), request.user)
    asked = register_questions.questions_of(conveyors)
    return {"questions": asked[:_ROWS], "more": max(0, len(asked) - _ROWS)} if asked else None


def meters_on_conveyor(request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    """The newest reading of each meter."""
    return {
        "conveyor": conveyor,
        "latest": meters.latest_readings(conveyor),
        "may_keep": access.may(request.user, Permission.TAKE_READING),
    }


def readings_on_conveyor(request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    """The condition read last."""
    rows = conveyor.readings.select_related("component", "belt")[:_LATEST]
    return {
        "conveyor": conveyor,
        "readings": [(row, condition.where_words(row)) for row in rows],
        "may_take": access.may(request.user, Permission.TAKE_READING),
    }


def readings_on_component(request: HttpRequest, component: Component) -> dict[str, Any]:
    """The condition read last of one component."""
    rows = component.readings.select_related("component", "belt")[:_LATEST]
    return {
        "conveyor": component.conveyor,
        "component": component,
        "readings": [(row, condition.where_words(row)) for row in rows],
        "may_take": access.may(request.user, Permission.TAKE_READING),
    }


def rolls_on_conveyor(request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    """The rolls changed last."""
    return {"conveyor": conveyor, "changes": rolls.latest_changes(conveyor, _LATEST)}


def attachments_on_conveyor(request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    """The latest pictures and drawings, those of its components among them."""
    return _attachments(request, conveyor)


def attachments_on_component(request: HttpRequest, component: Component) -> dict[str, Any]:
    return _attachments(request, component.conveyor, component)


def _attachments(
    request: HttpRequest, conveyor: Conveyor, component: Component | None = None
) -> dict[str, Any]:
    return {
        "conveyor": conveyor,
        "plant": conveyor.plant,
        "on_component": component,
        "shown": attachments.shown_of(conveyor, component),
        "may_add": attachment_access.may_add_pictures(request.user),
    }


def labels_on_conveyor(_request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    """The way to its labels."""
    return {"conveyor": conveyor}
