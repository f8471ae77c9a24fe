"""Recording what the belt did after the work."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.case_states import CaseState
from diagnostics.models import Case
from diagnostics.services import cases
from plant.errors import DomainError
from plant.models import User
from workorders.models import ProofRun, ProofWatch, WorkOrder
from workorders.order_states import OrderState
from workorders.proof_rules import LEAST_REVOLUTIONS, Verdict
from workorders.services import leading_cases, proof_watching
from workorders.services.cause_said import check_cause_said
from workorders.services.locking import lock_order
from workorders.services.moving import put_in_state
from workorders.services.proof_watching import NewLook, Seen


class OrderIsNotDone(DomainError):
    code = "order_is_not_done"


class CaseIsNotOnProof(DomainError):
    code = "case_is_not_on_proof"


class ProofTooShort(DomainError):
    code = "proof_too_short"


class FailedProofNeedsNote(DomainError):
    code = "failed_proof_needs_note"


class ProofAgainstLooks(DomainError):
    code = "proof_against_looks"


@transaction.atomic
def keep_watch(
    *, order_id: int, seen: Seen, by: User | None, now: datetime, version: int | None = None
) -> ProofWatch:
    """Keep what was seen so far, without a verdict; the order stays to be proved.

    Refuses with OrderChangedMeanwhile, OrderIsNotDone, CaseIsNotOnProof and UnknownProofStation.
    """
    order = lock_order(order_id, version=version)
    _check_can_be_proved(order)
    watch = proof_watching.keep(order, seen, by=by, now=now)
    # Whoever else has the page open is told, and does not write older turns over these.
    order.version += 1
    order.save(update_fields=["version", "changed_at"])
    return watch


@transaction.atomic
def record_proof_run(
    *,
    order_id: int,
    passed: bool,
    by: User | None,
    now: datetime,
    note: str = "",
    revolutions_empty: int = 0,
    revolutions_loaded: int = 0,
    looks: tuple[NewLook, ...] = (),
    version: int | None = None,
) -> ProofRun:
    """Passed: the order is proved and its case closes with it. Failed: the order stays done and the
    case is being looked at again, with everything known: what was seen becomes a walk-down.

    Refuses with OrderIsNotDone, CaseIsNotOnProof, ProofTooShort, FailedProofNeedsNote, CauseNotSaid
    and, when it passes although the looks say otherwise and no note says why, ProofAgainstLooks.
    """
    order = lock_order(order_id, version=version)
    _check_can_be_proved(order)
    _check_watched(passed, note, revolutions_empty, revolutions_loaded)
    if passed:
        check_cause_said(order)
    seen = Seen(looks, revolutions_empty, revolutions_loaded, note)
    watch = proof_watching.keep(order, seen, by=by, now=now)
    said = proof_watching.verdict_of(order, watch)
    if passed and not said.passes and not note.strip():
        raise ProofAgainstLooks(against_words(said))
    run = ProofRun.objects.create(
        order=order,
        passed=passed,
        revolutions_empty=revolutions_empty,
        revolutions_loaded=revolutions_loaded,
        note=note.strip(),
        at=now,
        by=by,
    )
    proof_watching.end(watch, run, is_against_looks=passed and not said.passes)
    if passed:
        put_in_state(order, OrderState.PROVED, by=by, now=now, why=note[:400])
        why = _("Proof run of %(number)s passed.") % {"number": order.number}
        leading_cases.lead_case(case_id=order.case_id, by=by, now=now, why=why)
    else:
        _go_on_looking(order, note.strip(), by=by, now=now)
        proof_watching.hand_on(order, watch, by=by, now=now)
    return run


def against_words(said: Verdict) -> str:
    """Why the looks do not pass, and what to do about it."""
    parts = []
    if said.off:
        names = ", ".join(dict.fromkeys(one.station for one in said.off))
        parts.append(_("Off centre still: %(stations)s.") % {"stations": names})
    if said.missing:
        names = ", ".join(dict.fromkeys(station for station, _load in said.missing))
        parts.append(_("Not watched empty and loaded: %(stations)s.") % {"stations": names})
    parts.append(_("If it passes all the same, say why under what was seen."))
    return " ".join(parts)


def _go_on_looking(order: WorkOrder, note: str, *, by: User | None, now: datetime) -> None:
    order.version += 1
    order.save()
    if order.case_id is not None:
        why = _("Proof run of %(number)s failed: %(note)s") % {"number": order.number, "note": note}
        cases.move_case(
            case_id=order.case_id, to_state=CaseState.LOOKED_AT, by=by, now=now, why=why[:400]
        )


def _check_can_be_proved(order: WorkOrder) -> None:
    if order.state != OrderState.DONE:
        raise OrderIsNotDone(
            _("%(number)s is %(state)s. A proof run follows work that is done.")
            % {"number": order.number, "state": order.get_state_display()}
        )
    if order.case_id is None:
        return
    case = Case.objects.get(pk=order.case_id)
    if CaseState(case.state) is CaseState.ON_PROOF:
        return
    open_order = WorkOrder.objects.open().filter(case=case).first()
    if open_order is not None:
        raise CaseIsNotOnProof(
            _("Other work on %(case)s is still open: %(number)s. Watch the belt after that.")
            % {"case": case.number, "number": open_order.number}
        )
    raise CaseIsNotOnProof(
        _("%(case)s is %(state)s, not on proof. Go on with the case.")
        % {"case": case.number, "state": case.get_state_display()}
    )


def _check_watched(passed: bool, note: str, empty: int, loaded: int) -> None:
    if passed and min(empty, loaded) < LEAST_REVOLUTIONS:
        raise ProofTooShort(
            _("Watch at least %(least)d turns of the belt empty and as many loaded.")
            % {"least": LEAST_REVOLUTIONS}
        )
    if not passed and not note.strip():
        raise FailedProofNeedsNote(_("Say what the belt did, so that the next look starts there."))
