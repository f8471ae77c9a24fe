"""Single outage windows: put in, moved, called off, taken up again."""

import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext as _

from plant.models import Conveyor, Plant, User
from plant.services.register_refusals import FieldRefusal, check_version
from workorders.models import OutageWindow
from workorders.services.moving import FARTHEST_PLAN
from workorders.services.outages.weighing import weighed

logger = logging.getLogger(__name__)

# Longer than any shutdown of a belt we plan for; engineering judgement.
LONGEST_WINDOW = timedelta(days=92)


class WindowTimesRefused(FieldRefusal):
    code = "window_times_refused"


class WindowNeedsConveyors(FieldRefusal):
    code = "window_needs_conveyors"


class WindowIsOver(FieldRefusal):
    code = "window_is_over"


class WindowStandsAlready(FieldRefusal):
    code = "window_stands_already"


class CallingOffNeedsReason(FieldRefusal):
    code = "calling_off_needs_reason"


@dataclass(frozen=True)
class WindowWanted:
    name: str
    conveyors: Sequence[Conveyor]
    starts_at: datetime
    ends_at: datetime


@transaction.atomic
def add_window(
    *, plant: Plant, wanted: WindowWanted, by: User | None, now: datetime, seen: str | None = None
) -> OutageWindow:
    """Put in one window.

    Refuses with WindowTimesRefused, WindowNeedsConveyors, and with AsksFirst (see `weighing`).
    """
    check_conveyors(plant, wanted.conveyors)
    check_times(wanted.starts_at, wanted.ends_at, now)
    with weighed(plant, seen=seen, now=now) as made:
        window = OutageWindow.objects.create(
            plant=plant,
            name=wanted.name,
            starts_at=wanted.starts_at,
            ends_at=wanted.ends_at,
            first_starts_at=wanted.starts_at,
            kept_by=by,
        )
        window.conveyors.set(wanted.conveyors)
        made.windows.append(window)
    logger.info("Window %s put in by %s.", window.pk, by)
    return window


@transaction.atomic
def change_window(
    *,
    window_id: int,
    wanted: WindowWanted,
    version: int | None,
    by: User | None,
    now: datetime,
    seen: str | None = None,
) -> OutageWindow:
    """Move a window, name it otherwise or give it other conveyors; its orders stay where they are.

    Refuses with StaleForm, WindowIsOver, as `add_window` does, and with AsksFirst.
    """
    window = lock_window(window_id, version)
    _check_coming(window, now)
    if window.called_off_at is not None:
        raise WindowIsOver(_("This window is called off. Take it up again first."))
    check_conveyors(window.plant, wanted.conveyors)
    check_times(wanted.starts_at, wanted.ends_at, now)
    with weighed(window.plant, seen=seen, now=now) as made:
        window.name = wanted.name
        window.starts_at, window.ends_at = wanted.starts_at, wanted.ends_at
        window.conveyors.set(wanted.conveyors)
        _keep(window, by)
        made.windows.append(window)
    return window


@transaction.atomic
def call_off(
    *,
    window_id: int,
    why: str,
    version: int | None,
    by: User | None,
    now: datetime,
    seen: str | None = None,
) -> OutageWindow:
    """Call a window off. Its orders keep their place, marked, until a planner moves them.

    Refuses with StaleForm, WindowIsOver, CallingOffNeedsReason and AsksFirst; a window that is
    called off already stays as it is.
    """
    window = lock_window(window_id, version)
    if window.called_off_at is not None:
        return window
    _check_coming(window, now)
    if not why.strip():
        raise CallingOffNeedsReason(_("Say why; whoever planned with it will ask."), "why")
    with weighed(window.plant, seen=seen, now=now):
        window.called_off_at, window.called_off_why = now, why.strip()
        _keep(window, by)
    return window


@transaction.atomic
def take_up_again(
    *,
    window_id: int,
    version: int | None,
    by: User | None,
    now: datetime,
    seen: str | None = None,
) -> OutageWindow:
    """The window takes place after all; refuses with StaleForm, WindowIsOver and AsksFirst."""
    window = lock_window(window_id, version)
    if window.called_off_at is None:
        return window
    _check_coming(window, now)
    with weighed(window.plant, seen=seen, now=now) as made:
        window.called_off_at, window.called_off_why = None, ""
        _keep(window, by)
        made.windows.append(window)
    return window


def check_conveyors(plant: Plant, conveyors: Sequence[Conveyor]) -> None:
    if not conveyors:
        raise WindowNeedsConveyors(_("Choose at least one conveyor."), "conveyors")
    if any(one.plant_id != plant.pk for one in conveyors):
        raise WindowNeedsConveyors(_("That conveyor belongs to another plant."), "conveyors")


def check_times(starts_at: datetime, ends_at: datetime, now: datetime) -> None:
    if ends_at <= starts_at:
        raise WindowTimesRefused(_("The window must end after it begins."), "ends_at")
    if ends_at - starts_at > LONGEST_WINDOW:
        told = _("At most %(days)d days in one window; make two of it.")
        raise WindowTimesRefused(told % {"days": LONGEST_WINDOW.days}, "ends_at")
    if ends_at <= now:
        raise WindowTimesRefused(_("That is past. Give a window that is still to come."), "ends_at")
    if starts_at > now + FARTHEST_PLAN:
        told = _("That is more than ten years ahead. Give a nearer day.")
        raise WindowTimesRefused(told, "starts_at")


def lock_window(window_id: int, version: int | None) -> OutageWindow:
    window = (
        OutageWindow.objects.select_for_update(of=("self",), no_key=True)
        .select_related("plant")
        .get(pk=window_id)
    )
    check_version(window, version)
    return window


def _check_coming(window: OutageWindow, now: datetime) -> None:
    if window.ends_at <= now:
        raise WindowIsOver(_("This window is over; what was, stays as it was."))


def _keep(window: OutageWindow, by: User | None) -> None:
    window.kept_by = by
    window.version += 1
    window.save()
