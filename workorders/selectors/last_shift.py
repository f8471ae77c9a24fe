"""What happened at a plant lately and what comes next, for whoever takes over."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import QuerySet

from diagnostics.models import Complaint
from plant.models import Plant
from workorders.models import OrderMove, OutageWindow, WorkOrder
from workorders.order_states import OrderState

# A long shift, and the night and day after it.
LOOKS_BACK = timedelta(hours=12)
LOOKS_AHEAD = timedelta(hours=24)
ROWS = 25


@dataclass(frozen=True)
class LastShift:
    """Each list holds the latest ROWS; `has_more` names those that are cut off."""

    complaints: list[Complaint]
    moves: list[OrderMove]
    in_hand: list[WorkOrder]
    windows: list[OutageWindow]
    has_more: frozenset[str]


def last_shift(plant: Plant, now: datetime) -> LastShift:
    """Five queries, whatever happened."""
    since = now - LOOKS_BACK
    complaints = Complaint.objects.filter(plant=plant, received_at__gte=since)
    moves = OrderMove.objects.filter(order__conveyor__plant=plant, at__gte=since)
    in_hand = WorkOrder.objects.filter(conveyor__plant=plant, state=OrderState.IN_HAND.value)
    windows = OutageWindow.objects.standing().filter(
        plant=plant, ends_at__gte=now, starts_at__lt=now + LOOKS_AHEAD
    )
    found = (
        ("complaints", _few(complaints.select_related("conveyor", "case"), "-received_at", "-pk")),
        ("moves", _few(moves.select_related("order__conveyor", "by"), "-at", "-pk")),
        ("in_hand", _few(in_hand.select_related("conveyor__plant"), "-raised_at", "-pk")),
        ("windows", _few(windows.prefetch_related("conveyors"), "starts_at", "pk")),
    )
    shown = {name: rows[:ROWS] for name, rows in found}
    return LastShift(**shown, has_more=frozenset(name for name, rows in found if len(rows) > ROWS))


def _few(rows: QuerySet[Any], *order: str) -> list[Any]:
    """One more than is shown tells whether there are others."""
    return list(rows.order_by(*order)[: ROWS + 1])
