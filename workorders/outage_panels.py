"""What outage windows and crews add to shared pages."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from plant import access
from plant.roles import Permission
from workorders.selectors.outages import broken

_ROWS = 8


def unfit_today(request: HttpRequest, _row: Any) -> dict[str, Any] | None:
    """For planners, the placed work that must be placed anew; nothing while all of it fits."""
    if not access.may(request.user, Permission.PLAN_ORDER):
        return None
    unfit = broken.unfit_soon(list(access.plants_of(request.user)), timezone.now())
    if not unfit:
        return None
    return {"unfit": unfit[:_ROWS], "more": max(0, len(unfit) - _ROWS), "may_plan": True}
