"""Raising the work an accepted cause asks for."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.case_states import OPEN_STATES as OPEN_CASE_STATES
from diagnostics.case_states import CaseState
from diagnostics.models import Case, Hypothesis
from diagnostics.selectors import shelf
from plant.errors import DomainError
from plant.models import User
from workorders.models import OrderMove, WorkOrder, WorkStep
from workorders.order_draft import Draft, draft_order
from workorders.order_origins import Origin
from workorders.order_states import OrderState
from workorders.selectors import trouble
from workorders.services import leading_cases, numbering
from workorders.urgency import judge_urgency


class HypothesisHasOpenOrder(DomainError):
    code = "hypothesis_has_open_order"


class CauseNotAccepted(DomainError):
    code = "cause_not_accepted"


class CaseHasEnded(DomainError):
    code = "case_has_ended"


@transaction.atomic
def raise_for_hypothesis(*, hypothesis_id: int, by: User | None, now: datetime) -> WorkOrder:
    """Propose the one open work order an accepted hypothesis may have.

    Refuses with HypothesisHasOpenOrder, CauseNotAccepted and CaseHasEnded. Leaves the case where
    it is: whoever accepts the cause moves it.
    """
    hypothesis = _lock_hypothesis(hypothesis_id)
    check_may_have_open_order(hypothesis)
    order = _create(hypothesis, by=by, now=now)
    OrderMove.objects.create(order=order, to_state=OrderState.PROPOSED.value, at=now, by=by)
    return order


@transaction.atomic
def raise_again(*, hypothesis_id: int, by: User, now: datetime) -> WorkOrder:
    """Propose work anew for a cause whose earlier order was set aside or did not hold.

    Refuses as raise_for_hypothesis does; the case goes back to cause found.
    """
    order = raise_for_hypothesis(hypothesis_id=hypothesis_id, by=by, now=now)
    why = _("Work raised again: %(number)s.") % {"number": order.number}
    leading_cases.lead_case(case_id=order.case_id, by=by, now=now, why=why)
    return order


def check_may_have_open_order(hypothesis: Hypothesis) -> None:
    """Refuse a second open order, one for a cause nobody stands by, one for an ended case."""
    if hypothesis.accepted_at is None:
        raise CauseNotAccepted(_("This cause is not accepted. Accept it on its case first."))
    if CaseState(hypothesis.case.state) not in OPEN_CASE_STATES:
        raise CaseHasEnded(
            _("%(case)s has ended. A belt that mistracks again is a new case.")
            % {"case": hypothesis.case.number}
        )
    standing = WorkOrder.objects.open().filter(hypothesis=hypothesis).first()
    if standing is not None:
        raise HypothesisHasOpenOrder(
            _("This cause has an open work order, %(number)s. Add your note there.")
            % {"number": standing.number}
        )


def _lock_hypothesis(hypothesis_id: int) -> Hypothesis:
    # The case first, as everywhere; of two people raising together one must lose.
    case_id = Hypothesis.objects.values_list("case_id", flat=True).get(pk=hypothesis_id)
    Case.objects.select_for_update(no_key=True).get(pk=case_id)
    return (
        Hypothesis.objects.select_for_update(of=("self",), no_key=True)
        .select_related("case__conveyor__plant")
        .get(pk=hypothesis_id)
    )


def _create(hypothesis: Hypothesis, *, by: User | None, now: datetime) -> WorkOrder:
    draft = _draft(hypothesis)
    judged = judge_urgency(trouble.trouble_of_case(hypothesis.case))
    detail = hypothesis.detail
    conveyor = hypothesis.case.conveyor
    order = WorkOrder.objects.create(
        conveyor=conveyor,
        case=hypothesis.case,
        hypothesis=hypothesis,
        origin=Origin.CAUSE.value,
        number=numbering.next_number(conveyor.plant_id),
        urgency=judged.urgency.value,
        urgency_reasons=list(judged.reasons),
        cause=hypothesis.cause,
        zone=hypothesis.zone,
        component=hypothesis.component,
        position_m=hypothesis.position_m,
        belt_position_m=detail.get("belt_position_m"),
        side=detail.get("side") or "",
        correction=detail.get("correction"),
        raised_at=now,
        raised_by=by,
        **draft_fields(draft),
    )
    add_steps(order, draft)
    return order


def _draft(hypothesis: Hypothesis) -> Draft:
    library = shelf.library_of(hypothesis.case.conveyor.plant_id)
    cause = library.knowledge.causes.get(hypothesis.cause)
    method = library.work_methods.get(cause.work_method) if cause else None
    return draft_order(
        hypothesis.cause,
        _place(hypothesis),
        cause=cause,
        method=method,
        cautions=library.knowledge.cautions,
    )


def _place(hypothesis: Hypothesis) -> str:
    if hypothesis.component:
        return hypothesis.component
    if hypothesis.position_m is not None:
        return _("%(position)s m") % {"position": f"{hypothesis.position_m:.1f}"}
    return ""


def draft_fields(draft: Draft) -> dict[str, object]:
    return {
        "title": draft.title,
        "work_method": draft.work_method,
        "tools": list(draft.tools),
        "parts": list(draft.parts),
        "cautions": list(draft.cautions),
        "hours": None if draft.hours is None else Decimal(str(draft.hours)),
        "people": draft.people,
        "needs_isolation": draft.needs_isolation,
        "proof": draft.proof,
    }


def add_steps(order: WorkOrder, draft: Draft) -> None:
    WorkStep.objects.bulk_create(
        WorkStep(
            order=order,
            place=place,
            what=step.what,
            hours=Decimal(str(step.hours)) if step.hours else None,
            skill=step.skill,
        )
        for place, step in enumerate(draft.steps, start=1)
    )
