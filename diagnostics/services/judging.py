"""A person confirms or refutes a cause; the engine never does."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics import signals
from diagnostics.case_states import CaseState
from diagnostics.models import Case, Hypothesis
from diagnostics.selectors import shelf
from diagnostics.services import cases, findings
from plant.errors import DomainError
from plant.models import User


class AlreadyJudged(DomainError):
    code = "already_judged"


class NotAccepted(DomainError):
    code = "not_accepted"


class ReasonMissing(DomainError):
    code = "reason_missing"


class HypothesisMissing(DomainError):
    code = "hypothesis_missing"


@transaction.atomic
def accept_hypothesis(
    *, hypothesis_id: int, case_id: int, by: User, now: datetime, why: str = ""
) -> Hypothesis:
    """A person takes this cause as the one; work is raised for it in the same transaction.

    Refuses with AlreadyJudged when this cause at this place was accepted or refuted before.
    """
    case = cases.lock_open_case(case_id)
    hypothesis = _lock(hypothesis_id, case)
    _check_unjudged(hypothesis, case)
    hypothesis.accepted_at, hypothesis.judged_by, hypothesis.judged_why = now, by, why[:400]
    hypothesis.save()
    cases.mark_cause(
        case,
        cause=hypothesis.cause,
        cause_class=hypothesis.cause_class,
        zone=hypothesis.zone,
        position_m=hypothesis.position_m,
        now=now,
    )
    if CaseState(case.state) in (CaseState.OPEN, CaseState.LOOKED_AT):
        cases.move_case(case_id=case.pk, to_state=CaseState.CAUSE_FOUND, by=by, now=now, why=why)
    signals.cause_accepted.send(sender=Hypothesis, hypothesis=hypothesis, by=by, now=now)
    return hypothesis


@transaction.atomic
def name_cause(
    *,
    case_id: int,
    cause: str,
    by: User,
    now: datetime,
    component: str = "",
    zone: str = "",
    position_m: float | None = None,
    why: str = "",
) -> Hypothesis:
    """Accept a cause the engine did not put first, or did not name at all."""
    case = cases.lock_open_case(case_id)
    entry = shelf.knowledge_of(case.conveyor.plant_id).causes.get(cause)
    if entry is None:
        raise findings.UnknownCause(_("%(cause)s is no cause of the catalogue.") % {"cause": cause})
    hypothesis = Hypothesis.objects.create(
        case=case,
        cause=cause,
        cause_class=entry.cause_class,
        zone=zone,
        component=component,
        position_m=position_m,
    )
    return accept_hypothesis(hypothesis_id=hypothesis.pk, case_id=case.pk, by=by, now=now, why=why)


@transaction.atomic
def refute_hypothesis(
    *, hypothesis_id: int, case_id: int, by: User, now: datetime, why: str
) -> Hypothesis:
    """Say that this cause is not it, and why; kept as a finding that speaks against it."""
    if not why.strip():
        raise ReasonMissing(_("Say what rules this cause out."))
    case = cases.lock_open_case(case_id)
    hypothesis = _lock(hypothesis_id, case)
    _check_unjudged(hypothesis, case)
    hypothesis.refuted_at, hypothesis.judged_by = now, by
    hypothesis.judged_why = why.strip()[:400]
    hypothesis.save()
    findings.record_finding(
        case_id=case.pk,
        cause=hypothesis.cause,
        is_present=False,
        place=hypothesis.component,
        note=why.strip()[:400],
        by=by,
        now=now,
    )
    signals.cause_refuted.send(sender=Hypothesis, hypothesis=hypothesis, by=by, now=now, why=why)
    return hypothesis


@transaction.atomic
def take_back_acceptance(
    *, hypothesis_id: int, case_id: int, by: User, now: datetime, why: str
) -> Hypothesis:
    """The cause was not it after all; its order is withdrawn unless the work is in hand."""
    if not why.strip():
        raise ReasonMissing(_("Say why the cause is taken back."))
    case = cases.lock_open_case(case_id)
    hypothesis = _lock(hypothesis_id, case)
    if hypothesis.accepted_at is None:
        raise NotAccepted(_("This cause is not accepted."))
    hypothesis.accepted_at, hypothesis.judged_by = None, by
    hypothesis.judged_why = why.strip()[:400]
    hypothesis.save()
    signals.cause_taken_back.send(sender=Hypothesis, hypothesis=hypothesis, by=by, now=now, why=why)
    _fall_back(case, by=by, now=now, why=why)
    return hypothesis


def _fall_back(case: Case, *, by: User, now: datetime, why: str) -> None:
    """To the cause accepted besides, else back to looking."""
    case.refresh_from_db()
    other = case.hypotheses.filter(accepted_at__isnull=False).order_by("-accepted_at").first()
    if other is not None:
        cases.mark_cause(
            case,
            cause=other.cause,
            cause_class=other.cause_class,
            zone=other.zone,
            position_m=other.position_m,
            now=now,
        )
        return
    cases.unmark_cause(case)
    if CaseState(case.state) in (CaseState.CAUSE_FOUND, CaseState.MENDED):
        cases.move_case(case_id=case.pk, to_state=CaseState.LOOKED_AT, by=by, now=now, why=why)


def _lock(hypothesis_id: int, case: Case) -> Hypothesis:
    found = (
        Hypothesis.objects.select_for_update(no_key=True)
        .filter(pk=hypothesis_id, case=case)
        .first()
    )
    if found is None:
        raise HypothesisMissing(_("This cause is no longer listed for the case."))
    return found


def _check_unjudged(hypothesis: Hypothesis, case: Case) -> None:
    if hypothesis.accepted_at or hypothesis.refuted_at:
        raise AlreadyJudged(_("Somebody judged this cause already. Look at the case again."))
    twin = case.hypotheses.filter(
        accepted_at__isnull=False, cause=hypothesis.cause, component=hypothesis.component
    )
    if twin.exists():
        raise AlreadyJudged(_("This cause at this place is accepted already."))
