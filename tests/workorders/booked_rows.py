"""What somebody recorded on an order: time, photos, notes."""

import uuid
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from plant.models import User
from plant.services.attaching import SentFile
from tests.plant.drawn_pictures import a_jpeg
from tests.workorders.factories import NOW
from workorders.models import OrderNote, OrderPhoto, TimeBooking, WorkOrder
from workorders.services import booking_time, doing, order_photos
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


def keep_photo(order: WorkOrder, content: bytes | None = None, **how: Any) -> OrderPhoto:
    """One photo kept by the service."""
    given = {"moment": OrderPhoto.Moment.BEFORE, "caption": "", "by": None, "now": LATER, **how}
    sent = [SentFile(content or a_jpeg(60, 40), "IMG_0001.jpg")]
    (row,) = order_photos.keep_photos(order_id=order.pk, sent=sent, **given).fresh
    return row


def make_note(order: WorkOrder, by: User | None, words: str = "two shims used") -> OrderNote:
    return doing.add_note(order_id=order.pk, words=words, by=by, now=LATER)
