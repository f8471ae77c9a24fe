"""Raising the work a cause asks for: an accepted one, a suspected one, one a close look found."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics.case_states import OPEN_STATES as OPEN_CASE_STATES
from diagnostics.case_states import CaseState
from diagnostics.models import Case, Finding, Hypothesis
from diagnostics.selectors import shelf
from plant.errors import DomainError
from plant.models import User
from workorders.models import OrderMove, WorkOrder, WorkStep
from workorders.order_draft import Draft, draft_order
from workorders.order_origins import Origin
from workorders.order_states import OrderState
from workorders.selectors import trouble
from workorders.services import adopting, leading_cases, numbering
from workorders.urgency import Judged, judge_urgency


class HypothesisHasOpenOrder(DomainError):
    code = "hypothesis_has_open_order"


class CauseNotAccepted(DomainError):
    code = "cause_not_accepted"


class CaseHasEnded(DomainError):
    code = "case_has_ended"


@dataclass(frozen=True)
class Aim:
    """What an order is for: a cause at a place of a case's conveyor, and why it is raised.

    `detail` is the diagnosis's entry of that cause there, empty where it has none.
    """

    case: Case
    origin: Origin
    cause: str
    component: str = ""
    zone: str = ""
    position_m: float | None = None
    detail: Mapping[str, Any] = field(default_factory=dict)
    hypothesis: Hypothesis | None = None
    finding: Finding | None = None


@transaction.atomic
def raise_for_hypothesis(*, hypothesis_id: int, by: User | None, now: datetime) -> WorkOrder:
    """Propose the one open work order an accepted hypothesis may have.

    Work that was proposed for this cause there before anybody accepted it becomes that order.
    Refuses with HypothesisHasOpenOrder, CauseNotAccepted and CaseHasEnded. Leaves the case where
    it is: whoever accepts the cause moves it.
    """
    hypothesis = _lock_hypothesis(hypothesis_id)
    check_accepted(hypothesis)
    adopted = adopting.adopt_order(hypothesis, by=by, now=now)
    if adopted is not None:
        return adopted
    check_may_have_open_order(hypothesis)
    return propose(aim_of(hypothesis, Origin.CAUSE), by=by, now=now)


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
    check_accepted(hypothesis)
    standing = WorkOrder.objects.open().filter(hypothesis=hypothesis).first()
    if standing is not None:
        raise HypothesisHasOpenOrder(
            _("This cause has an open work order, %(number)s. Add your note there.")
            % {"number": standing.number}
        )


def check_accepted(hypothesis: Hypothesis) -> None:
    if hypothesis.accepted_at is None:
        raise CauseNotAccepted(_("This cause is not accepted. Accept it on its case first."))
    check_case_goes_on(hypothesis.case)


def check_case_goes_on(case: Case) -> None:
    if CaseState(case.state) not in OPEN_CASE_STATES:
        raise CaseHasEnded(
            _("%(case)s has ended. A belt that mistracks again is a new case.")
            % {"case": case.number}
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


def aim_of(hypothesis: Hypothesis, origin: Origin) -> Aim:
    return Aim(
        case=hypothesis.case,
        origin=origin,
        cause=hypothesis.cause,
        component=hypothesis.component,
        zone=hypothesis.zone,
        position_m=hypothesis.position_m,
        detail=hypothesis.detail,
        hypothesis=hypothesis,
    )


def propose(
    aim: Aim, *, by: User | None, now: datetime, judged: Judged | None = None, why: str = ""
) -> WorkOrder:
    """Write the order and its first move; the caller holds the case and has checked."""
    draft = _draft(aim)
    judged = judged or judge_urgency(trouble.trouble_of_case(aim.case))
    conveyor = aim.case.conveyor
    order = WorkOrder.objects.create(
        conveyor=conveyor,
        case=aim.case,
        hypothesis=aim.hypothesis,
        finding=aim.finding,
        origin=aim.origin.value,
        number=numbering.next_number(conveyor.plant_id),
        urgency=judged.urgency.value,
        urgency_reasons=list(judged.reasons),
        cause=aim.cause,
        zone=aim.zone,
        component=aim.component,
        position_m=aim.position_m,
        belt_position_m=aim.detail.get("belt_position_m"),
        side=aim.detail.get("side") or "",
        correction=aim.detail.get("correction"),
        raised_at=now,
        raised_by=by,
        **draft_fields(draft),
    )
    add_steps(order, draft)
    state = OrderState.PROPOSED.value
    OrderMove.objects.create(order=order, to_state=state, at=now, by=by, why=why[:400])
    return order


def _draft(aim: Aim) -> Draft:
    library = shelf.library_of(aim.case.conveyor.plant_id)
    cause = library.knowledge.causes.get(aim.cause)
    method = library.work_methods.get(cause.work_method) if cause else None
    return draft_order(
        aim.cause, _place(aim), cause=cause, method=method, cautions=library.knowledge.cautions
    )


def _place(aim: Aim) -> str:
    if aim.component:
        return aim.component
    if aim.position_m is not None:
        return _("%(position)s m") % {"position": f"{aim.position_m:.1f}"}
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
