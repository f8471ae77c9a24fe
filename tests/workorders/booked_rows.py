"""Time that somebody booked on an order."""

import uuid
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from plant.models import User
from tests.workorders.factories import NOW
from workorders.models import TimeBooking, WorkOrder
from workorders.services import booking_time
from workorders.services.booking_time import Spent, Worker

LATER = NOW + timedelta(days=1)
# The plant's day of LATER.
TODAY = date(2026, 11, 3)


def book(
    order: WorkOrder, *workers: User | str, hours: str | None = "2", **how: Any
) -> list[TimeBooking]:
    """By the service; `how` tells more of the time, or who books."""
    by, now, sent_as = (how.pop(key, None) for key in ("by", "now", "sent_as"))
    spent = {"day": TODAY, "hours": None if hours is None else Decimal(hours), **how}
    people = [Worker(name=one) if isinstance(one, str) else Worker(one) for one in workers]
    return booking_time.book_time(
        order_id=order.pk,
        workers=people or [Worker(name="Ada Crane")],
        spent=Spent(**spent),
        sent_as=sent_as or uuid.uuid4(),
        by=by,
        now=now or LATER,
    )


def make_booking(order: WorkOrder) -> TimeBooking:
    """A row alone, whatever the state of its order."""
    return TimeBooking.objects.create(
        order=order, worker_name="Ada Crane", day=TODAY, hours=2, booked_at=LATER
    )
