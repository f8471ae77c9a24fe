"""Parts that the desk adds to Today and to the page of a conveyor."""

from typing import Any

from django.http import HttpRequest
from django.utils.translation import gettext as _

from diagnostics.models import Case, Complaint, WalkDown
from diagnostics.selectors import case_list, complaint_desk
from plant import access
from plant.models import Conveyor
from plant.roles import Role

_ROWS = 8


def complaints_today(request: HttpRequest, _row: Any) -> dict[str, Any] | None:
    """For the clerk: what waits for a belt."""
    if not _is(request, Role.CLERK):
        return None
    seen = access.visible(Complaint.objects.select_related("plant"), request.user)
    waiting = complaint_desk.without_belt(seen)
    return {"complaints": waiting[:_ROWS], "more": max(waiting.count() - _ROWS, 0)}


def walking_today(request: HttpRequest, _row: Any) -> dict[str, Any] | None:
    """For the technician: walk-downs left unfinished, and cases to look at."""
    if not _is(request, Role.TECHNICIAN):
        return None
    mine = access.visible(WalkDown.objects.all(), request.user).filter(
        walked_by=request.user.pk, finished_at__isnull=True
    )
    return {
        "unfinished": mine.select_related("case__conveyor__plant")[:_ROWS],
        "groups": [
            _group(request, _("Cases to be looked at"), case_list.to_look_at, case_list.TO_LOOK_AT),
            _group(
                request, _("Causes to be confirmed"), case_list.to_confirm, case_list.TO_CONFIRM
            ),
        ],
    }


def confirming_today(request: HttpRequest, _row: Any) -> dict[str, Any] | None:
    """For the lead: causes that wait for a person to say whether they are right."""
    if not _is(request, Role.LEAD):
        return None
    return {"groups": [_to_confirm(request)]}


def on_conveyor(request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    cases = access.visible(Case.objects.all(), request.user).filter(conveyor=conveyor)
    return {
        "conveyor": conveyor,
        "cases": case_list.in_state(cases, case_list.OPEN)[:_ROWS],
    }


def what_if(_request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    """The way to the computed pictures."""
    return {"conveyor": conveyor}


def check(_request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    """The way to the engineering check."""
    return {"conveyor": conveyor}


def _to_confirm(request: HttpRequest) -> dict[str, Any]:
    heading = _("Causes to be confirmed")
    return _group(request, heading, case_list.to_confirm, case_list.TO_CONFIRM)


def _group(request: HttpRequest, heading: str, chosen: Any, state: str) -> dict[str, Any]:
    seen = access.visible(Case.objects.select_related("conveyor__plant"), request.user)
    cases = chosen(seen)
    return {
        "heading": heading,
        "cases": cases[:_ROWS],
        "more": max(cases.count() - _ROWS, 0),
        "state": state,
    }


def _is(request: HttpRequest, role: Role) -> bool:
    return role in access.roles_of(request.user)
