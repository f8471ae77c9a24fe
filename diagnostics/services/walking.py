"""The walk-down: begin, record what is seen, take back, finish."""

import math
import uuid
from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from diagnostics.inference.vocabulary import Degree, LoadState, Persistence
from diagnostics.models import Sighting, WalkDown
from diagnostics.services import cases, diagnosing
from plant.errors import DomainError
from plant.loop.parts import GeometryError
from plant.loop.vocabulary import Run, Side
from plant.models import Conveyor, User
from plant.selectors.loops import loop_of


class CautionsUnread(DomainError):
    code = "cautions_unread"


class WalkDownFinished(DomainError):
    code = "walk_down_finished"


class WalkDownMissing(DomainError):
    code = "walk_down_missing"


class BeltStopped(DomainError):
    code = "belt_stopped"


class OffTheLoop(DomainError):
    code = "off_the_loop"


class SightingSaysNothing(DomainError):
    code = "sighting_says_nothing"


class SightingSaysTwoThings(DomainError):
    code = "sighting_says_two_things"


class OffsetIsNoNumber(DomainError):
    code = "offset_is_no_number"


class SeenBeforeStart(DomainError):
    code = "seen_before_start"


class ClientIdTaken(DomainError):
    code = "client_id_taken"


@dataclass(frozen=True)
class Pass:
    """How a walk-down is made: facing, load, direction of running, or why the belt stands."""

    facing: str = WalkDown.Facing.HEAD
    load: LoadState = LoadState.LOADED
    is_running_backwards: bool = False
    stopped_reason: str = ""
    remarks: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Seen:
    """One look, already in the one convention: sides as in the register, offsets + right. [mm]"""

    station: str
    run: Run
    position_m: float
    load: LoadState
    offset_mm: float | None = None
    degree: Degree | None = None
    side: Side | None = None
    persistence: Persistence | None = None
    is_running_backwards: bool = False
    not_seen_reason: str = ""
    note: str = ""


@transaction.atomic
def begin_walk_down(
    *,
    case_id: int,
    how: Pass,
    cautions_read: bool,
    by: User | None,
    now: datetime,
    started_at: datetime | None = None,
    client_id: uuid.UUID | None = None,
) -> WalkDown:
    """Begin a pass along the belt; refuses with CautionsUnread before the cautions were read.

    `started_at` is earlier than now when a phone tells later, with the id it gave the walk-down.
    """
    if not cautions_read:
        raise CautionsUnread(_("Read the cautions and say so before you go to the belt."))
    case = cases.lock_open_case(case_id)
    cases.begin_looking(case, by=by, now=now)
    walk_down = WalkDown.objects.create(
        case=case,
        client_id=client_id or uuid.uuid4(),
        walked_by=by,
        started_at=started_at or now,
        cautions_read_at=started_at or now,
        facing=how.facing,
        load=how.load,
        is_running_backwards=how.is_running_backwards,
        stopped_reason=how.stopped_reason.strip(),
        remarks=list(how.remarks),
        note=how.note,
    )
    if how.remarks:
        diagnosing.owe_diagnosis(case, now=now)
    return walk_down


@transaction.atomic
def record_stopped_belt(
    *, case_id: int, how: Pass, cautions_read: bool, by: User | None, now: datetime
) -> WalkDown:
    """Somebody went to the belt and it stood still: a walk-down that is over with its reason."""
    walk_down = begin_walk_down(
        case_id=case_id, how=how, cautions_read=cautions_read, by=by, now=now
    )
    return finish_walk_down(walk_down_id=walk_down.pk, now=now)


@transaction.atomic
def change_pass(*, walk_down_id: int, how: Pass, now: datetime) -> WalkDown:
    """Change how the pass goes on: facing, load, direction, remarks; earlier looks keep theirs."""
    walk_down = _lock_going(walk_down_id)
    walk_down.facing, walk_down.load = how.facing, how.load
    walk_down.is_running_backwards = how.is_running_backwards
    walk_down.stopped_reason = how.stopped_reason.strip()
    walk_down.note = how.note
    if set(walk_down.remarks) != set(how.remarks):
        walk_down.remarks = list(how.remarks)
        diagnosing.owe_diagnosis(walk_down.case, now=now)
    walk_down.save()
    return walk_down


@transaction.atomic
def record_sighting(
    *,
    walk_down_id: int,
    seen: Seen,
    by: User | None,
    now: datetime,
    client_id: uuid.UUID | None = None,
    seen_at: datetime | None = None,
) -> Sighting:
    """Keep one look; the same client id twice is kept once.

    Refuses with SightingSaysNothing, SightingSaysTwoThings, OffsetIsNoNumber, OffTheLoop,
    BeltStopped, SeenBeforeStart and ClientIdTaken; a reading beyond the clearance is kept.
    A look that comes in late, with the time at which it was made as `seen_at`, is kept in a
    finished walk-down too: it was made before.
    """
    client_id = client_id or uuid.uuid4()
    if (known := _kept_already(client_id, walk_down_id)) is not None:
        return known
    walk_down = _lock_going(walk_down_id, may_be_finished=seen_at is not None)
    seen_at = seen_at or now
    _check_seen(walk_down, seen, seen_at)
    try:
        with transaction.atomic():
            sighting = _create(walk_down, seen, by=by, seen_at=seen_at, client_id=client_id)
    except IntegrityError:
        # The same tap sent twice at once: the other request stored it between look and write.
        if (known := _kept_already(client_id, walk_down_id)) is not None:
            return known
        raise
    if not sighting.not_seen_reason:
        diagnosing.owe_diagnosis(walk_down.case, now=now)
    return sighting


def _kept_already(client_id: uuid.UUID, walk_down_id: int) -> Sighting | None:
    known = Sighting.objects.filter(client_id=client_id).first()
    if known is not None and known.walk_down_id != walk_down_id:
        raise ClientIdTaken(_("This look belongs to another walk-down. Open the page again."))
    return known


def _create(
    walk_down: WalkDown, seen: Seen, *, by: User | None, seen_at: datetime, client_id: uuid.UUID
) -> Sighting:
    return Sighting.objects.create(
        walk_down=walk_down,
        client_id=client_id,
        station=seen.station,
        run=seen.run,
        position_m=seen.position_m,
        load=seen.load,
        offset_mm=seen.offset_mm,
        degree=seen.degree or "",
        side=seen.side or "",
        persistence=seen.persistence or "",
        is_running_backwards=seen.is_running_backwards,
        not_seen_reason=seen.not_seen_reason.strip(),
        note=seen.note.strip(),
        seen_at=seen_at,
        seen_by=by,
    )


def _check_seen(walk_down: WalkDown, seen: Seen, seen_at: datetime) -> None:
    if seen_at < walk_down.started_at:
        raise SeenBeforeStart(_("This look is dated before its walk-down began."))
    if seen.not_seen_reason.strip():
        _check_unseen(seen)
    else:
        _check_says(walk_down, seen)
    check_place(walk_down.case.conveyor, seen.position_m)


def _check_unseen(seen: Seen) -> None:
    if seen.offset_mm is not None or seen.degree is not None:
        raise SightingSaysTwoThings(
            _("Say either where the belt ran or why it could not be seen, not both.")
        )


def _check_says(walk_down: WalkDown, seen: Seen) -> None:
    if walk_down.stopped_reason:
        raise BeltStopped(_("The belt is noted as stopped. Change that first if it runs again."))
    if seen.offset_mm is not None and not math.isfinite(seen.offset_mm):
        raise OffsetIsNoNumber(_("The offset must be a number, such as 45 mm or 1 3/4 in."))
    says = (
        seen.offset_mm is not None or seen.degree is Degree.CENTRED or (seen.degree and seen.side)
    )
    if not says:
        raise SightingSaysNothing(
            _("Say centred, or which side and how far, or an offset in mm or inches.")
        )


def check_place(conveyor: Conveyor, position_m: float) -> None:
    """Refuses with OffTheLoop; any place from 0 on while the register is incomplete."""
    if not (math.isfinite(position_m) and position_m >= 0):
        raise OffTheLoop(_("The loop position must be a number of metres from 0 on."))
    try:
        length_m = loop_of(conveyor).length_m
    except GeometryError:
        return
    if position_m >= length_m:
        raise OffTheLoop(
            _("%(place).1f m is not on this loop, which is %(length).1f m long.")
            % {"place": position_m, "length": length_m}
        )


@transaction.atomic
def count_sighting(*, sighting_id: int, walk_down_id: int, counts: bool, now: datetime) -> Sighting:
    """Take a look back or make it count again, as asked; it stays readable.

    Asked for what stands already, nothing changes. Refuses with CaseHasEnded, and with
    WalkDownMissing; a finished walk-down's looks may still be taken back.
    """
    case = cases.lock_open_case(_case_of(walk_down_id))
    sighting = Sighting.objects.select_for_update(of=("self",), no_key=True).get(
        pk=sighting_id, walk_down_id=walk_down_id
    )
    if counts is not (sighting.taken_back_at is None):
        sighting.taken_back_at = None if counts else now
        if counts:
            # Whoever makes it count has chosen.
            sighting.differs_from = None
        sighting.save(update_fields=["taken_back_at", "differs_from"])
        diagnosing.owe_diagnosis(case, now=now)
    return sighting


@transaction.atomic
def finish_walk_down(*, walk_down_id: int, now: datetime) -> WalkDown:
    walk_down = _lock_going(walk_down_id)
    walk_down.finished_at = now
    walk_down.save()
    return walk_down


@transaction.atomic
def go_on_walking(*, walk_down_id: int) -> WalkDown:
    """Take a finish back; refuses with CaseHasEnded when nobody works on the case any more."""
    cases.lock_open_case(_case_of(walk_down_id))
    walk_down = _lock(walk_down_id)
    walk_down.finished_at = None
    walk_down.save()
    return walk_down


def _case_of(walk_down_id: int) -> int:
    """Where both are locked the case comes first, so that no two wait for each other."""
    found = WalkDown.objects.filter(pk=walk_down_id).values_list("case_id", flat=True).first()
    if found is None:
        raise WalkDownMissing(_("This walk-down is no longer there."))
    return found


def _lock(walk_down_id: int) -> WalkDown:
    walk_down = (
        WalkDown.objects.select_for_update(of=("self",), no_key=True)
        .select_related("case__conveyor__plant")
        .filter(pk=walk_down_id)
        .first()
    )
    if walk_down is None:
        raise WalkDownMissing(_("This walk-down is no longer there."))
    return walk_down


def _lock_going(walk_down_id: int, *, may_be_finished: bool = False) -> WalkDown:
    walk_down = _lock(walk_down_id)
    if not walk_down.case.is_open:
        raise cases.CaseHasEnded(
            _("%(number)s has ended, and with it its walk-downs.")
            % {"number": walk_down.case.number}
        )
    if walk_down.finished_at is not None and not may_be_finished:
        raise WalkDownFinished(_("This walk-down is finished. Go on with it, or begin another."))
    return walk_down
