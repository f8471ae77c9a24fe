"""Shifts that were made are written down; what was written by mistake is taken back."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import Conveyor, User
from plant.services.conveyor_lock import lock_conveyor
from plant.services.register_refusals import FigureRefused
from workorders.models import ShiftMade, WorkOrder
from workorders.order_states import OrderState
from workorders.services.locking import lock_order
from workorders.services.shift_places import Place, places_meant
from workorders.shift_ways import MOST_MM, End, Moved, Way, is_unlikely, ways_fit

# Hands are on the work, or have just been.
RECORDED_IN = frozenset({OrderState.IN_HAND, OrderState.DONE})
# Clocks of phones run a little ahead.
_AHEAD = timedelta(minutes=10)
_OLDEST = timedelta(days=3660)


class OrderTakesNoShifts(DomainError):
    code = "order_takes_no_shifts"


class ShiftIsUndone(DomainError):
    code = "shift_is_undone"


@dataclass(frozen=True)
class ShiftTold:
    """What somebody says was shifted; `stations` as typed, each of them by as much.

    `together` marks what is written down at one time: the same mark again changes nothing.
    """

    stations: str
    moved: Moved
    end: End
    way: Way
    moved_mm: float
    made_at: datetime
    together: uuid.UUID
    made_by: str = ""
    note: str = ""
    is_sure: bool = False


@transaction.atomic
def record_shifts(
    *,
    conveyor_id: int,
    told: ShiftTold,
    by: User | None,
    now: datetime,
    order_id: int | None = None,
) -> list[ShiftMade]:
    """Write down a shift at one station or several, all or none.

    Refuses with OrderTakesNoShifts and FigureRefused, also for a size that is unlikely unless
    `is_sure`.
    """
    order = lock_order(order_id) if order_id is not None else None
    if order is not None:
        _check_takes(order)
    conveyor = lock_conveyor(conveyor_id)
    kept = list(ShiftMade.objects.filter(conveyor=conveyor, together=told.together))
    if kept:
        return kept
    _check(told, now)
    rows = [
        _row(conveyor, order, place, told, by) for place in places_meant(conveyor, told.stations)
    ]
    made = ShiftMade.objects.bulk_create(rows)
    if order is not None:
        order.save(update_fields=["changed_at"])
    return made


@transaction.atomic
def take_back_shifts(
    *, conveyor_id: int, shift_id: int, with_others: bool, by: User | None, now: datetime
) -> int:
    """It was not shifted so: it counts no more and stays readable. Returns how many.

    Refuses with ShiftIsUndone what was brought back on the conveyor.
    """
    lock_conveyor(conveyor_id)
    shift = ShiftMade.objects.get(pk=shift_id, conveyor=conveyor_id)
    if shift.undone_at is not None:
        raise ShiftIsUndone(_("This shift was undone on the conveyor; it did happen."))
    rows = ShiftMade.objects.standing().filter(together=shift.together)
    if not with_others:
        rows = rows.filter(pk=shift_id)
    return rows.update(taken_back_at=now, taken_back_by=by, undo_order=None)


@transaction.atomic
def put_back_shift(*, conveyor_id: int, shift_id: int) -> None:
    """It was shifted so after all; asked for what stands already, nothing changes."""
    lock_conveyor(conveyor_id)
    rows = ShiftMade.objects.filter(pk=shift_id, conveyor=conveyor_id)
    rows.update(taken_back_at=None, taken_back_by=None)


def lock_standing(conveyor_id: int, shift_ids: Iterable[int]) -> list[ShiftMade]:
    """The shifts that still stand, locked, the last one made first."""
    rows = ShiftMade.objects.standing().filter(conveyor=conveyor_id, pk__in=list(shift_ids))
    locked = rows.select_for_update(of=("self",), no_key=True).select_related("undo_order")
    return sorted(locked.order_by("pk"), key=lambda one: (one.made_at, one.pk), reverse=True)


def _check_takes(order: WorkOrder) -> None:
    if OrderState(order.state) not in RECORDED_IN:
        raise OrderTakesNoShifts(
            _("%(number)s is %(state)s. Take it in hand, then write down what was shifted.")
            % {"number": order.number, "state": order.get_state_display()}
        )


def _check(told: ShiftTold, now: datetime) -> None:
    if not 0 < told.moved_mm <= MOST_MM:
        raise FigureRefused(
            _("Give more than 0 and at most %(most)d mm.") % {"most": MOST_MM}, "moved_mm"
        )
    if is_unlikely(told.moved, told.moved_mm) and not told.is_sure:
        raise FigureRefused(
            _("That is far for this. Measure it again, or say that it is right."), "moved_mm"
        )
    if not ways_fit(told.end, told.way):
        raise FigureRefused(
            _("One end goes in or out; both ends together go to the left or to the right."), "way"
        )
    if told.made_at > now + _AHEAD:
        raise FigureRefused(_("That time is still to come."), "made_at")
    if told.made_at < now - _OLDEST:
        raise FigureRefused(_("That is more than ten years ago."), "made_at")


def _row(
    conveyor: Conveyor, order: WorkOrder | None, place: Place, told: ShiftTold, by: User | None
) -> ShiftMade:
    return ShiftMade(
        conveyor=conveyor,
        order=order,
        station=place.station,
        kind=place.kind,
        run=place.run,
        position_m=place.position_m,
        moved=told.moved.value,
        end=told.end.value,
        way=told.way.value,
        moved_mm=told.moved_mm,
        made_at=told.made_at,
        made_by=told.made_by,
        note=told.note,
        together=told.together,
        kept_by=by,
    )
