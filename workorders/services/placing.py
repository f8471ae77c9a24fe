"""Putting an order where it stands on the outage sheet, pinning it there, taking it off."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import User
from workorders.models import Crew, OrderChange, OutageWindow, WorkOrder
from workorders.order_states import OrderState
from workorders.services import leading_cases
from workorders.services.locking import lock_order
from workorders.services.moving import IllegalOrderMove, checked_time, put_in_state
from workorders.services.outages.windows import LONGEST_WINDOW


class PlaceIsOtherPlants(DomainError):
    code = "place_is_other_plants"


class WindowIsCalledOff(DomainError):
    code = "window_is_called_off"


class PlaceEndsBeforeItBegins(DomainError):
    code = "place_ends_before_it_begins"


class PlaceLastsTooLong(DomainError):
    code = "place_lasts_too_long"


@dataclass(frozen=True)
class Place:
    """`window` is None for work that needs no outage. Clashes are shown, not refused."""

    crew: Crew
    window: OutageWindow | None
    starts_at: datetime
    ends_at: datetime


@transaction.atomic
def place_order(
    *,
    order_id: int,
    place: Place,
    by: User | None,
    now: datetime,
    version: int | None = None,
    why: str = "",
    is_pinned: bool | None = None,
) -> WorkOrder:
    """Schedule an approved order there, or move a scheduled one; its case follows.

    Refuses with OrderChangedMeanwhile, IllegalOrderMove, ScheduleNeedsTime, PlaceIsOtherPlants,
    WindowIsCalledOff, PlaceEndsBeforeItBegins and PlaceLastsTooLong.
    """
    order = lock_order(order_id, version=version)
    check_place(order, place, now)
    before = order.planned_for
    order.window, order.crew = place.window, place.crew
    order.planned_for, order.planned_until = place.starts_at, place.ends_at
    if is_pinned is not None:
        order.is_pinned = is_pinned
    if order.state == OrderState.APPROVED:
        put_in_state(order, OrderState.SCHEDULED, by=by, now=now, why=why)
        told = _("%(number)s is scheduled.") % {"number": order.number}
        leading_cases.lead_case(case_id=order.case_id, by=by, now=now, why=told)
        return order
    OrderChange.objects.create(
        order=order,
        kind=OrderChange.Kind.PLANNED_FOR,
        before=before.isoformat() if before else "",
        after=place.starts_at.isoformat(),
        why=why.strip() or _("Moved on the outage sheet."),
        at=now,
        by=by,
    )
    order.version += 1
    order.save()
    return order


@transaction.atomic
def take_off(
    *, order_id: int, by: User | None, now: datetime, version: int | None = None, why: str = ""
) -> WorkOrder:
    """Back among the approved orders, without a time; refuses as place_order does."""
    order = lock_order(order_id, version=version)
    if order.state != OrderState.SCHEDULED:
        raise _not_on_sheet(order)
    clear_place(order)
    why = why.strip() or _("Taken off the outage sheet.")
    put_in_state(order, OrderState.APPROVED, by=by, now=now, why=why)
    told = _("%(number)s is approved.") % {"number": order.number}
    leading_cases.lead_case(case_id=order.case_id, by=by, now=now, why=told)
    return order


@transaction.atomic
def pin(
    *, order_id: int, is_pinned: bool, by: User | None, now: datetime, version: int | None = None
) -> WorkOrder:
    """Proposals leave a pinned order where it stands; refuses as place_order does."""
    order = lock_order(order_id, version=version)
    if order.state != OrderState.SCHEDULED:
        raise _not_on_sheet(order)
    if order.is_pinned != is_pinned:
        order.is_pinned = is_pinned
        order.version += 1
        order.save()
    return order


def clear_place(order: WorkOrder) -> None:
    """The caller saves."""
    order.planned_for = order.planned_until = order.window = order.crew = None
    order.is_pinned = False


def check_place(order: WorkOrder, place: Place, now: datetime) -> None:
    if order.state not in {OrderState.APPROVED, OrderState.SCHEDULED}:
        raise _not_on_sheet(order)
    plant_id = order.conveyor.plant_id
    if place.crew.plant_id != plant_id or (place.window and place.window.plant_id != plant_id):
        raise PlaceIsOtherPlants(_("That crew or window belongs to another plant."))
    if place.window is not None and place.window.called_off_at is not None:
        raise WindowIsCalledOff(
            _("%(window)s is called off. Choose another window.") % {"window": place.window.name}
        )
    if place.ends_at <= place.starts_at:
        raise PlaceEndsBeforeItBegins(_("The work must end after it begins."))
    if place.ends_at - place.starts_at > LONGEST_WINDOW:
        told = _("At most %(days)d days at one place. Is the year right? Else split the work.")
        raise PlaceLastsTooLong(told % {"days": LONGEST_WINDOW.days})
    if place.starts_at != order.planned_for:
        checked_time(place.starts_at, now)


def _not_on_sheet(order: WorkOrder) -> IllegalOrderMove:
    return IllegalOrderMove(
        _("%(number)s is %(state)s; only approved and scheduled orders stand on the sheet.")
        % {"number": order.number, "state": order.get_state_display()}
    )
