"""What happened at a plant lately and what comes next, for whoever takes over."""

from dataclasses import dataclass
from datetime import datetime, timedelta

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
    found = {
        "complaints": complaints.select_related("conveyor", "case").order_by("-received_at", "-pk"),
        "moves": moves.select_related("order__conveyor", "by").order_by("-at", "-pk"),
        "in_hand": in_hand.select_related("conveyor__plant").order_by("-raised_at", "-pk"),
        "windows": windows.prefetch_related("conveyors").order_by("starts_at", "pk"),
    }
    rows = {name: list(one[: ROWS + 1]) for name, one in found.items()}
    more = frozenset(name for name, one in rows.items() if len(one) > ROWS)
    return LastShift(**{name: one[:ROWS] for name, one in rows.items()}, has_more=more)  # type: ignore[arg-type]
