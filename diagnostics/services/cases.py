"""A case's own moves: opening, moving on, ending, opening again."""

import logging
from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics import signals
from diagnostics.case_states import BY_HAND, CaseState, may_move
from diagnostics.models import Case, CaseMove
from diagnostics.selectors import recurring
from diagnostics.services import numbering
from plant.errors import DomainError
from plant.models import Conveyor, User

logger = logging.getLogger(__name__)

_ENDS_WITHOUT_WORK = frozenset({CaseState.NOT_MISTRACKING, CaseState.CANCELLED})


class CaseMissing(DomainError):
    code = "case_missing"


class IllegalCaseMove(DomainError):
    code = "illegal_case_move"


class EndNeedsReason(DomainError):
    code = "end_needs_reason"


class CaseHasEnded(DomainError):
    code = "case_has_ended"


class CaseChangedMeanwhile(DomainError):
    code = "case_changed_meanwhile"


def lock_case(case_id: int) -> Case:
    """The case's row, locked until the caller's transaction ends."""
    case = (
        Case.objects.select_for_update(of=("self",), no_key=True)
        .select_related("conveyor__plant")
        .filter(pk=case_id)
        .first()
    )
    if case is None:
        raise CaseMissing(_("This case is no longer there. Look for it in the list of cases."))
    return case


def lock_cases(case_ids: Iterable[int]) -> None:
    """Several at once, in an order that is always the same, so that nobody waits in a ring."""
    rows = Case.objects.select_for_update(of=("self",), no_key=True)
    list(rows.filter(pk__in=case_ids).order_by("pk").values_list("pk", flat=True))


def lock_open_case(case_id: int) -> Case:
    """As `lock_case`; refuses with CaseHasEnded what nobody works on any more."""
    case = lock_case(case_id)
    if not case.is_open:
        raise CaseHasEnded(
            _("%(number)s is %(state)s. Open it again, or take a new complaint.")
            % {"number": case.number, "state": case.get_state_display()}
        )
    return case


@transaction.atomic
def open_case(*, conveyor: Conveyor, summary: str, by: User | None, now: datetime) -> Case:
    """Open a case with the plant's next number; what it repeats is known once it has a cause."""
    case = Case.objects.create(
        conveyor=conveyor,
        number=numbering.next_number(conveyor.plant_id),
        summary=" ".join(summary.split())[:200],
        opened_at=now,
    )
    CaseMove.objects.create(case=case, to_state=CaseState.OPEN, at=now, by=by)
    return case


@transaction.atomic
def move_case(
    *,
    case_id: int,
    to_state: CaseState,
    by: User | None,
    now: datetime,
    why: str = "",
) -> Case:
    """Bring a case into another state by a legal move.

    Refuses with IllegalCaseMove, and with EndNeedsReason where a case ends without work.
    """
    case = lock_case(case_id)
    old = CaseState(case.state)
    if old is to_state:
        return case
    if not may_move(old, to_state):
        raise IllegalCaseMove(
            _("%(number)s is %(old)s and cannot become %(new)s.")
            % {"number": case.number, "old": _(old.value), "new": _(to_state.value)}
        )
    if to_state in _ENDS_WITHOUT_WORK and not why.strip():
        raise EndNeedsReason(_("Say why the case ends, for the next person who looks."))
    _put(case, to_state, by=by, now=now, why=why)
    if to_state in _ENDS_WITHOUT_WORK:
        signals.case_ended.send(sender=Case, case=case, by=by, now=now, why=why)
    return case


@transaction.atomic
def move_case_by_hand(
    *,
    case_id: int,
    to_state: CaseState,
    by: User | None,
    now: datetime,
    why: str,
    version: int | None = None,
) -> Case:
    """As move_case, for the moves that are a person's own: ending without work, opening again.

    Refuses with CaseChangedMeanwhile unless it is the version that was read.
    """
    case = lock_case(case_id)
    if version is not None and case.version != version:
        raise CaseChangedMeanwhile(
            _("%(number)s was changed meanwhile. Read it again.") % {"number": case.number}
        )
    if to_state not in BY_HAND.get(CaseState(case.state), frozenset()):
        raise IllegalCaseMove(
            _("%(number)s is %(state)s. That follows from its causes and its work, not by hand.")
            % {"number": case.number, "state": case.get_state_display()}
        )
    return move_case(case_id=case_id, to_state=to_state, by=by, now=now, why=why)


def _put(case: Case, state: CaseState, *, by: User | None, now: datetime, why: str) -> None:
    CaseMove.objects.create(
        case=case,
        from_state=case.state,
        to_state=state,
        at=now,
        by=by,
        why=why[:400],
    )
    case.state = state.value
    is_over = state in _ENDS_WITHOUT_WORK or state is CaseState.CLOSED
    case.ended_at = now if is_over else None
    if state is CaseState.CLOSED:
        case.proved_at = now
    case.version += 1
    case.save()


def begin_looking(case: Case, *, by: User | None, now: datetime) -> None:
    """A first walk-down or finding turns an open case into one that is being looked at."""
    if CaseState(case.state) is CaseState.OPEN:
        _put(case, CaseState.LOOKED_AT, by=by, now=now, why="")


def mark_cause(
    case: Case, *, cause: str, cause_class: str, zone: str, position_m: float | None, now: datetime
) -> None:
    """Copy the confirmed cause to the case, and say whether it has come back."""
    case.cause, case.cause_class, case.zone = cause, cause_class, zone
    case.position_m, case.cause_found_at = position_m, now
    case.repeat_of = recurring.repeated_case(case)
    case.version += 1
    case.save()


def unmark_cause(case: Case) -> None:
    case.cause = case.cause_class = case.zone = ""
    case.position_m = case.cause_found_at = case.repeat_of = None
    case.version += 1
    case.save()


@transaction.atomic
def note_lost_hours(*, case_id: int, lost_hours: Decimal | None, by: User) -> Case:
    """What the fault cost in running time, also for a case that has ended; None is unknown."""
    case = lock_case(case_id)
    before, case.lost_hours = case.lost_hours, lost_hours
    case.version += 1
    case.save(update_fields=["lost_hours", "version", "changed_at"])
    logger.info("Lost hours of %s from %s to %s by %s.", case.number, before, lost_hours, by)
    return case
