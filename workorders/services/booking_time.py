"""Booking time on an order: hours or from-to, several people at once, corrections that are logged.

Days and times of day are the plant's own; a span over midnight belongs to the day it began on.
"""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import Sum
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import User
from plant.services.register_refusals import FieldRefusal, RowIsGone, check_version
from workorders.models import Crew, OrderChange, TimeBooking, WorkOrder, WorkStep
from workorders.models.time_booking import MOST_HOURS
from workorders.order_states import OrderState
from workorders.services.locking import lock_order

BOOKABLE_STATES = frozenset({OrderState.IN_HAND, OrderState.DONE, OrderState.PROVED})
# Work is written down at the end of a shift or a week; longer ago is a slip of the pen.
_LONGEST_AGO = timedelta(days=366)
_NAME_LENGTH, _STEP_LENGTH = 150, 200


class NoTimeIsBookedYet(DomainError):
    code = "no_time_is_booked_yet"


class TimeRefused(FieldRefusal):
    code = "time_refused"


@dataclass(frozen=True)
class Worker:
    """Somebody of the plant, or a name."""

    user: User | None = None
    name: str = ""

    @property
    def words(self) -> str:
        return (str(self.user) if self.user else self.name.strip())[:_NAME_LENGTH]


@dataclass(frozen=True)
class Spent:
    """`hours`, or `begins` and `ends` by the plant's clock; not after it begins: the next day."""

    day: date
    hours: Decimal | None = None
    begins: time | None = None
    ends: time | None = None
    crew: Crew | None = None
    step: WorkStep | None = None
    note: str = ""


@transaction.atomic
def book_time(
    *,
    order_id: int,
    workers: Sequence[Worker],
    spent: Spent,
    sent_as: uuid.UUID,
    by: User | None,
    now: datetime,
) -> list[TimeBooking]:
    """One booking for each of the people; the same form sent again books nothing twice.

    Refuses with NoTimeIsBookedYet and TimeRefused.
    """
    order = lock_order(order_id)
    if OrderState(order.state) not in BOOKABLE_STATES:
        raise NoTimeIsBookedYet(
            _("%(number)s is %(state)s. Time is booked once work is in hand, and after it.")
            % {"number": order.number, "state": order.get_state_display()}
        )
    # By account where there is one: two people may be called alike.
    named = {_client_id(sent_as, one): one for one in workers if one.words}
    if not named:
        raise TimeRefused(_("Say who worked."), "workers")
    fields = _fields(order, spent, now)
    rows = [
        TimeBooking(order=order, client_id=client_id, **fields, **_who(one))
        for client_id, one in named.items()
    ]
    known = TimeBooking.objects.filter(client_id__in=[row.client_id for row in rows])
    there = {row.client_id for row in known}
    fresh = [row for row in rows if row.client_id not in there]
    for row in fresh:
        row.booked_at, row.booked_by = now, by
        _check_day_is_long_enough(row)
    TimeBooking.objects.bulk_create(fresh)
    order.save(update_fields=["changed_at"])
    return fresh


@transaction.atomic
def correct_time(
    *,
    booking_id: int,
    order_id: int,
    worker: Worker,
    spent: Spent,
    version: int | None,
    by: User | None,
    now: datetime,
) -> TimeBooking:
    """Say it otherwise, in any state of the order; what it was stays in the log.

    Refuses with TimeRefused, StaleForm and RowIsGone.
    """
    order, row = _lock(order_id, booking_id)
    check_version(row, version)
    before = str(row)
    for name, value in {**_fields(order, spent, now), **_who(worker)}.items():
        setattr(row, name, value)
    if not row.worker_name:
        raise TimeRefused(_("Say who worked."), "worker")
    _check_day_is_long_enough(row)
    _log(order, OrderChange.Kind.TIME_CORRECTED, before, str(row), by, now)
    return _saved(order, row)


@transaction.atomic
def let_count(
    *,
    booking_id: int,
    order_id: int,
    counts: bool,
    by: User | None,
    now: datetime,
    version: int | None = None,
) -> TimeBooking:
    """Take a booking back or put it back, as asked; asked for what stands, nothing changes.

    Refuses with TimeRefused when the day has no room for it any more, StaleForm and RowIsGone.
    """
    order, row = _lock(order_id, booking_id)
    check_version(row, version)
    if counts is (row.taken_back_at is None):
        return row
    row.taken_back_at, row.taken_back_by = (None, None) if counts else (now, by)
    if counts:
        _check_day_is_long_enough(row)
    kind = OrderChange.Kind.TIME_PUT_BACK if counts else OrderChange.Kind.TIME_TAKEN_BACK
    _log(order, kind, "", str(row), by, now)
    return _saved(order, row)


def _fields(order: WorkOrder, spent: Spent, now: datetime) -> dict[str, object]:
    plant = order.conveyor.plant
    today = plant.day_of(now)
    if spent.day > today:
        raise TimeRefused(_("That day is still to come."), "day")
    if spent.day < today - _LONGEST_AGO:
        raise TimeRefused(_("That is more than a year ago. Is the year right?"), "day")
    if spent.crew is not None and spent.crew.plant_id != plant.pk:
        raise TimeRefused(_("That crew belongs to another plant."), "crew")
    if spent.step is not None and spent.step.order_id != order.pk:
        raise TimeRefused(_("That step went to another order meanwhile."), "step")
    return {
        "day": spent.day,
        "crew": spent.crew,
        "step": spent.step,
        "step_words": str(spent.step)[:_STEP_LENGTH] if spent.step else "",
        "note": spent.note.strip(),
        **_span(order, spent, now),
    }


def _span(order: WorkOrder, spent: Spent, now: datetime) -> dict[str, object]:
    if spent.begins is None or spent.ends is None:
        if spent.hours is None:
            raise TimeRefused(_("Say how many hours, or from when to when."), "hours")
        if not 0 < spent.hours <= MOST_HOURS:
            raise TimeRefused(_("Give more than 0 and at most 24 hours."), "hours")
        return {"hours": spent.hours, "begins_at": None, "ends_at": None}
    zone = order.conveyor.plant.zone_info
    last_day = spent.day if spent.ends > spent.begins else spent.day + timedelta(days=1)
    begins_at = datetime.combine(spent.day, spent.begins, zone)
    ends_at = datetime.combine(last_day, spent.ends, zone)
    if ends_at > now:
        raise TimeRefused(_("That time is still to come."), "ends")
    # By the instants: a night on which the clocks change is an hour longer or shorter.
    seconds = Decimal(int(ends_at.timestamp() - begins_at.timestamp()))
    hours = (seconds / 3600).quantize(Decimal("0.01"))
    if not 0 < hours <= MOST_HOURS:
        raise TimeRefused(_("From and to must differ."), "ends")
    return {"hours": hours, "begins_at": begins_at, "ends_at": ends_at}


def _who(worker: Worker) -> dict[str, object]:
    return {"worker": worker.user, "worker_name": worker.words}


def _check_day_is_long_enough(row: TimeBooking) -> None:
    """Nobody works more than a day has; of this order, under its lock."""
    others = TimeBooking.objects.standing().filter(
        order=row.order, day=row.day, worker_name__iexact=row.worker_name
    )
    booked = others.exclude(pk=row.pk).aggregate(booked=Sum("hours"))["booked"] or Decimal(0)
    if booked + row.hours > MOST_HOURS:
        raise TimeRefused(
            _("%(who)s has %(booked)s h on this day already; a day has 24.")
            % {"who": row.worker_name, "booked": f"{booked.normalize():f}"},
            "hours",
        )


def _client_id(sent_as: uuid.UUID, worker: Worker) -> uuid.UUID:
    return uuid.uuid5(sent_as, str(worker.user.pk) if worker.user else worker.words.casefold())


def _lock(order_id: int, booking_id: int) -> tuple[WorkOrder, TimeBooking]:
    order = lock_order(order_id)
    row = TimeBooking.objects.filter(pk=booking_id, order=order).first()
    if row is None:
        raise RowIsGone(_("Somebody removed this while you had it open."))
    row.order = order
    return order, row


def _log(
    order: WorkOrder,
    kind: OrderChange.Kind,
    before: str,
    after: str,
    by: User | None,
    now: datetime,
) -> None:
    OrderChange.objects.create(order=order, kind=kind, before=before, after=after, at=now, by=by)


def _saved(order: WorkOrder, row: TimeBooking) -> TimeBooking:
    row.version += 1
    row.save()
    order.save(update_fields=["changed_at"])
    return row
