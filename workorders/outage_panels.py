"""What outage windows and crews add to shared pages."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from plant import access, navigation
from plant.models import Conveyor
from plant.navigation import Panel
from plant.roles import Permission
from workorders.models import OutageWindow
from workorders.selectors.outages import broken

_ROWS = 8
_NEXT = 3


def register() -> None:
    folder = "workorders/outages"
    navigation.register_panel("today", Panel(28, f"{folder}/on_today.html", unfit_today))
    on_conveyor = Panel(32, f"{folder}/on_conveyor.html", windows_on_conveyor)
    navigation.register_panel("conveyor", on_conveyor)


def unfit_today(request: HttpRequest, _row: Any) -> dict[str, Any] | None:
    """For planners, the placed work that must be placed anew; nothing while all of it fits."""
    if not access.may(request.user, Permission.PLAN_ORDER):
        return None
    unfit = broken.unfit_soon(list(access.plants_of(request.user)), timezone.now())
    if not unfit:
        return None
    return {"unfit": unfit[:_ROWS], "more": max(0, len(unfit) - _ROWS), "may_plan": True}


def windows_on_conveyor(request: HttpRequest, conveyor: Conveyor) -> dict[str, Any] | None:
    """When it stands still next; nothing at a plant that keeps no windows."""
    now = timezone.now()
    here = OutageWindow.objects.standing().filter(plant=conveyor.plant_id, ends_at__gt=now)
    windows = list(here.filter(conveyors=conveyor).order_by("starts_at", "pk")[:_NEXT])
    if not windows and not here.exists():
        return None
    return {"windows": windows, "conveyor": conveyor, "plant": conveyor.plant}
