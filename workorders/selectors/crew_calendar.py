"""What a crew has to do and when, as events of its calendar."""

import hashlib
import hmac
from collections.abc import Callable
from datetime import datetime, timedelta

from django.urls import reverse
from django.utils.text import Truncator
from django.utils.translation import gettext as _

from plant.templatetags.sheet import metres
from workorders.crew_calendar_text import CalendarEvent, calendar_bytes
from workorders.models import Crew, WorkOrder
from workorders.order_states import OrderState
from workorders.order_words import STATE_WORDS

PAST = timedelta(days=30)
AHEAD = timedelta(days=366)
# Three a day for as long as is told; programs that read calendars choke on more.
MOST_EVENTS = 1200
# An order that does not say how long it takes.
_USUAL = timedelta(hours=1)
_TOLD = tuple(
    state.value
    for state in OrderState
    if state not in {OrderState.PROPOSED, OrderState.APPROVED, OrderState.DECLINED}
)
# A calendar on a phone is no job sheet; the rest stands behind the link.
_CAUTIONS, _CAUTION_LETTERS = 3, 160
# More changes of a window than anybody makes; an order's own change counts for more.
_WINDOW_CHANGES = 1000

Absolute = Callable[[str], str]


def digest_of(token: str) -> str:
    """What is kept of the secret part of a calendar's address."""
    return hashlib.sha256(token.encode()).hexdigest()


def crew_of_address(crew_id: int, token: str) -> Crew | None:
    """The crew whose calendar this address opens; None whatever is wrong with it."""
    crews = Crew.objects.filter(retired_on__isnull=True).select_related("plant")
    crew = crews.filter(pk=crew_id).first()
    # Compared even when there is nothing to compare with: how long it takes tells nothing.
    kept = crew.calendar_key_hash if crew else ""
    is_it = hmac.compare_digest(kept or "-" * 64, digest_of(token))
    return crew if is_it and kept else None


def calendar_of(crew: Crew, now: datetime, absolute: Absolute) -> bytes:
    """From 30 days back to a year ahead; `crew` comes with its plant. One query.

    An order that is cancelled stays, told as such. One that was taken off the sheet or given to
    another crew is simply absent: whoever reads the address takes each answer for the whole
    calendar. A file saved by hand is a copy of its moment and learns of neither.
    """
    orders = (
        WorkOrder.objects.filter(crew=crew, state__in=_TOLD)
        .filter(planned_for__gte=now - PAST, planned_for__lt=now + AHEAD)
        .select_related("conveyor__plant", "window")
        .order_by("planned_for", "pk")[:MOST_EVENTS]
    )
    name = f"{crew.name}, {crew.plant.name}"
    return calendar_bytes(name, [_event(order, absolute) for order in orders])


def _event(order: WorkOrder, absolute: Absolute) -> CalendarEvent:
    assert order.planned_for is not None
    window = order.window
    is_off = window is not None and window.called_off_at is not None
    is_called_off = order.state == OrderState.CANCELLED
    address = absolute(reverse("order", args=[order.number]))
    return CalendarEvent(
        key=f"{order.number}-{order.pk}@loopwright",
        sequence=order.version * _WINDOW_CHANGES + min(window.version if window else 0, 999),
        changed_at=order.changed_at,
        starts_at=order.planned_for,
        ends_at=order.planned_until or order.planned_for + _how_long(order),
        summary=_summary(order, is_off=is_off and not is_called_off),
        location=_location(order),
        description=_description(order, address),
        address=address,
        is_called_off=is_called_off,
        is_uncertain=is_off,
    )


def _how_long(order: WorkOrder) -> timedelta:
    return timedelta(hours=float(order.hours)) if order.hours else _USUAL


def _summary(order: WorkOrder, *, is_off: bool) -> str:
    said = f"{order.conveyor.tag}: {order.title}"
    if order.state == OrderState.CANCELLED:
        return _("Cancelled: %(what)s") % {"what": said}
    return _("Window called off: %(what)s") % {"what": said} if is_off else said


def _location(order: WorkOrder) -> str:
    conveyor = order.conveyor
    parts = (conveyor.plant.name, conveyor.area, str(conveyor), order.component)
    return ", ".join(part for part in (*parts, metres(order.position_m)) if part)


def _description(order: WorkOrder, address: str) -> str:
    state = STATE_WORDS[OrderState(order.state)]
    lines = [f"{order.number}, {state}, {order.get_urgency_display()}"]
    if order.window:
        lines.append(_("Window: %(name)s") % {"name": order.window.name})
    if order.needs_isolation:
        lines.append(_("The conveyor is isolated, locked and tried before work begins."))
        points = "; ".join(order.conveyor.isolation_points)
        none = _("The register names no isolation points: ask the licensed person.")
        lines.append(points or none)
    lines += [
        f"! {Truncator(caution).chars(_CAUTION_LETTERS)}" for caution in order.cautions[:_CAUTIONS]
    ]
    if len(order.cautions) > _CAUTIONS:
        lines.append(_("More cautions stand on the order; read them first."))
    return "\n".join([*lines, address])
