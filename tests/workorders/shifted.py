"""Shifts written down by the service, on a conveyor with sets C1 on, R1 on and pulleys."""

import uuid
from datetime import datetime
from typing import Any

from plant.models import Conveyor
from tests.workorders.factories import NOW
from workorders.models import ShiftMade, WorkOrder
from workorders.services import recording_shifts
from workorders.services.recording_shifts import ShiftTold
from workorders.shift_ways import End, Moved, Way


def told(stations: str = "C3", **how: Any) -> ShiftTold:
    """3 mm at the right end of a frame, with belt travel."""
    usual = {
        "moved": Moved.FRAME,
        "end": End.RIGHT,
        "way": Way.WITH_TRAVEL,
        "moved_mm": 3.0,
        "made_at": NOW,
        "together": uuid.uuid4(),
        "made_by": "Ana Frost",
    }
    return ShiftTold(stations=stations, **{**usual, **how})


def shift(
    conveyor: Conveyor,
    stations: str = "C3",
    *,
    order: WorkOrder | None = None,
    now: datetime = NOW,
    **how: Any,
) -> list[ShiftMade]:
    by = how.pop("by", None)
    return recording_shifts.record_shifts(
        conveyor_id=conveyor.pk,
        told=told(stations, **how),
        by=by,
        now=now,
        order_id=order.pk if order else None,
    )
