"""Shifts are brought back: by an order that says exactly the reverse, or on the spot.

Training that went wrong is undone at the same idlers, the last shift first; others are never turned
the other way (common practice; see fixtures/work_methods.yaml).
"""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from plant.errors import DomainError
from plant.loop.parts import GeometryError
from plant.models import Conveyor, User
from plant.selectors.loops import loop_of
from plant.services.conveyor_lock import lock_conveyor
from workorders import shift_words
from workorders.models import OrderChange, OrderNote, ShiftMade, WorkOrder, WorkStep
from workorders.order_states import OrderState
from workorders.services import raising_by_hand
from workorders.services.locking import lock_order
from workorders.services.raising_by_hand import WorkWanted
from workorders.services.recording_shifts import lock_standing

# Nobody has begun: steps can still be added.
_JOINED_IN = [OrderState.PROPOSED.value, OrderState.APPROVED.value, OrderState.SCHEDULED.value]
_NAMED = 4


class NothingToUndo(DomainError):
    code = "nothing_to_undo"


class AlreadyBeingUndone(DomainError):
    code = "already_being_undone"


class UndoneByAnOrder(DomainError):
    code = "undone_by_an_order"


@transaction.atomic
def undo_by_order(
    *, conveyor_id: int, shift_ids: Sequence[int], by: User | None, now: datetime
) -> WorkOrder:
    """Propose work that brings shifts back, or add them to such work nobody has begun.

    Once it is reported done the shifts are undone by it. Refuses with NothingToUndo and
    AlreadyBeingUndone.
    """
    joined = _order_to_join(conveyor_id)
    conveyor = lock_conveyor(conveyor_id)
    shifts = _asked(conveyor_id, shift_ids)
    for shift in shifts:
        undoing = shift.brought_back_by
        if undoing is not None:
            raise AlreadyBeingUndone(
                _("%(number)s undoes %(station)s already.")
                % {"number": undoing.number, "station": shift.station}
            )
    steps = [shift_words.reverse_words(one, conveyor) for one in shifts]
    if joined is not None:
        _add(joined, steps, by, now)
    order = joined or _raise(conveyor, shifts, steps, by, now)
    ShiftMade.objects.filter(pk__in=[one.pk for one in shifts]).update(undo_order=order)
    return order


@transaction.atomic
def undo_on_the_spot(
    *, conveyor_id: int, shift_ids: Sequence[int], by: User | None, now: datetime
) -> int:
    """They have been brought back already; returns how many. Refuses with NothingToUndo.

    An open order that was to do it is told by a note.
    """
    conveyor = lock_conveyor(conveyor_id)
    shifts = _asked(conveyor_id, shift_ids)
    for shift in shifts:
        undoing = shift.brought_back_by
        if undoing is not None:
            words = _("Undone on the spot meanwhile: %(thing)s, %(how)s.") % {
                "thing": shift_words.thing_words(shift.station, shift.moved),
                "how": shift_words.how_words(shift.end, shift.way, shift.moved_mm, conveyor),
            }
            OrderNote.objects.create(order=undoing, words=words, at=now, by=by)
    rows = ShiftMade.objects.filter(pk__in=[one.pk for one in shifts])
    return rows.update(undone_at=now, undone_by=by, undo_order=None)


@transaction.atomic
def not_undone_after_all(*, conveyor_id: int, shift_id: int) -> None:
    """A shift that was called undone on the spot stands still; refuses with UndoneByAnOrder."""
    lock_conveyor(conveyor_id)
    shift = ShiftMade.objects.select_related("undo_order").get(pk=shift_id, conveyor=conveyor_id)
    if shift.undone_at is not None and shift.undo_order is not None:
        raise UndoneByAnOrder(
            _("%(number)s undid it. Put that order back in hand.")
            % {"number": shift.undo_order.number}
        )
    ShiftMade.objects.filter(pk=shift_id).update(undone_at=None, undone_by=None)


def _asked(conveyor_id: int, shift_ids: Sequence[int]) -> list[ShiftMade]:
    shifts = lock_standing(conveyor_id, shift_ids)
    if not shifts:
        raise NothingToUndo(_("Choose at least one shift that still stands."))
    return shifts


def _order_to_join(conveyor_id: int) -> WorkOrder | None:
    """Locked before the conveyor, as whoever records on it does."""
    rows = WorkOrder.objects.filter(
        undoes__conveyor=conveyor_id, undoes__undone_at__isnull=True, state__in=_JOINED_IN
    )
    found = rows.order_by("-pk").values_list("pk", flat=True).first()
    order = lock_order(found) if found is not None else None
    return order if order is not None and order.state in _JOINED_IN else None


def _raise(
    conveyor: Conveyor,
    shifts: Sequence[ShiftMade],
    steps: Sequence[str],
    by: User | None,
    now: datetime,
) -> WorkOrder:
    first = _(
        "Isolate, lock and try by the site's procedure. Bring back what follows, the last shift "
        "first; turn nothing else the other way."
    )
    last = _(
        "Guards back, warn along the line, start. Watch three turns of the belt and write down "
        "the offset there."
    )
    wanted = WorkWanted(
        title=_title(shifts),
        component=_station_of(conveyor, shifts),
        steps=(first, *steps, last),
    )
    return raising_by_hand.raise_by_hand(conveyor=conveyor, wanted=wanted, by=by, now=now)


def _title(shifts: Sequence[ShiftMade]) -> str:
    stations = list(dict.fromkeys(one.station for one in sorted(shifts, key=_by_position)))
    names = ", ".join(stations[:_NAMED]) + (" …" if len(stations) > _NAMED else "")
    words = ngettext(
        "Undo %(count)d shift: %(names)s", "Undo %(count)d shifts: %(names)s", len(shifts)
    )
    return words % {"count": len(shifts), "names": names}


def _by_position(shift: ShiftMade) -> float:
    return shift.position_m


def _station_of(conveyor: Conveyor, shifts: Sequence[ShiftMade]) -> str:
    """The first of the stations, if the register still calls one so."""
    name = min(shifts, key=_by_position).station
    try:
        known = loop_of(conveyor).station_named(name)
    except GeometryError:
        return name
    return known.name if known else ""


def _add(order: WorkOrder, steps: Sequence[str], by: User | None, now: datetime) -> None:
    """Before its last step, which gives the conveyor back."""
    last = order.steps.last()
    place = last.place if last else 1
    if last is not None:
        # In one statement from behind, for each place is taken once.
        WorkStep.objects.filter(pk=last.pk).update(place=F("place") + len(steps))
    WorkStep.objects.bulk_create(
        WorkStep(order=order, place=place + number, what=what) for number, what in enumerate(steps)
    )
    OrderChange.objects.create(
        order=order, kind=OrderChange.Kind.EDITED, after="steps", at=now, by=by
    )
    order.version += 1
    order.save()
