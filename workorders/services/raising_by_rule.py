"""The site proposes work by itself when a diagnosis is surer than the plant's setting asks for.

Runs inside the diagnosis's transaction, which holds the case: nobody accepts a cause meanwhile. It
refuses nothing and raises at most one order; a person approves it or does not.
"""

from datetime import datetime

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Diagnosis, Hypothesis
from workorders.auto_raising import SetPoint, is_at_least, is_sure_enough
from workorders.models import OrderChange, WorkOrder
from workorders.order_origins import Origin
from workorders.order_states import OrderState
from workorders.order_words import URGENCY_WORDS
from workorders.selectors import raising_settings, trouble
from workorders.services.raising import aim_of, propose
from workorders.urgency import Judged, judge_urgency

# Beyond these a person has said what the cause is, or work is under way.
_UNDECIDED = frozenset({CaseState.OPEN, CaseState.LOOKED_AT})


def hear_diagnosis(*, diagnosis: Diagnosis, now: datetime) -> WorkOrder | None:
    """Propose work for the first suspicion of a new diagnosis where the plant's setting asks so.

    An order that was raised so before is told what the new diagnosis makes of it; nothing is
    withdrawn.
    """
    case = Case.objects.select_related("conveyor__plant").get(pk=diagnosis.case_id)
    point = raising_settings.set_point_of(case.conveyor.plant_id)
    for order in _raised_before(case):
        _tell(order, diagnosis, point, now)
    first = diagnosis.hypotheses.order_by("rank").first()
    if first is None or not diagnosis.is_sufficient:
        return None
    if not is_sure_enough(first.probability, point) or not _is_free(case, first):
        return None
    judged = judge_urgency(trouble.trouble_of_case(case))
    if not is_at_least(judged.urgency, point.least_urgency):
        return None
    first.case = case
    why = _why(diagnosis, first, judged, point)
    return propose(aim_of(first, Origin.RULE), by=None, now=now, judged=judged, why=why)


def _is_free(case: Case, first: Hypothesis) -> bool:
    """Nobody decided on the case or this cause, and no work stands or was turned down for it."""
    if CaseState(case.state) not in _UNDECIDED:
        return False
    same = case.hypotheses.filter(cause=first.cause)
    if same.filter(refuted_at__isnull=False, component__in=["", first.component]).exists():
        return False
    if case.hypotheses.filter(accepted_at__isnull=False).exists():
        return False
    orders = WorkOrder.objects.filter(case=case)
    turned_down = [OrderState.DECLINED.value, OrderState.CANCELLED.value]
    return not (
        orders.open().exists() or orders.filter(cause=first.cause, state__in=turned_down).exists()
    )


def _raised_before(case: Case) -> list[WorkOrder]:
    orders = WorkOrder.objects.open().filter(case=case, origin=Origin.RULE.value)
    unaccepted = orders.filter(hypothesis__accepted_at__isnull=True)
    return list(unaccepted.select_for_update(of=("self",), no_key=True))


def _tell(order: WorkOrder, diagnosis: Diagnosis, point: SetPoint, now: datetime) -> None:
    """A line in the log when what an order stands on falls below the set probability, or rises."""
    told = order.changes.filter(kind__in=[OrderChange.Kind.LESS_SURE, OrderChange.Kind.SURE_AGAIN])
    last = told.order_by("-pk").first()
    was_sure = last is None or last.kind == OrderChange.Kind.SURE_AGAIN
    probability = probability_in(diagnosis, order) or 0.0
    is_sure = probability >= point.probability
    if is_sure is was_sure:
        return
    kind = OrderChange.Kind.SURE_AGAIN if is_sure else OrderChange.Kind.LESS_SURE
    OrderChange.objects.create(order=order, kind=kind, after=f"{probability:.3f}", at=now)
    order.save(update_fields=["changed_at"])


def probability_in(diagnosis: Diagnosis, order: WorkOrder) -> float | None:
    """What a diagnosis gives the cause of an order, at its place if it is named there."""
    rows = list(diagnosis.hypotheses.filter(cause=order.cause).order_by("rank"))
    here = [one for one in rows if one.component == order.component]
    found = next(iter(here or rows), None)
    return found.probability if found else None


def _why(diagnosis: Diagnosis, first: Hypothesis, judged: Judged, point: SetPoint) -> str:
    plant = first.case.conveyor.plant
    made = localtime(diagnosis.made_at, plant.zone_info)
    return _(
        "Raised by the site: the diagnosis of %(day)s gives it %(probability)s %% (set: from "
        "%(set)s %%), judged %(urgency)s (set: from %(least)s)."
    ) % {
        "day": date_format(made, "Y-m-d H:i"),
        "probability": f"{100 * (first.probability or 0):.0f}",
        "set": f"{100 * point.probability:.0f}",
        "urgency": URGENCY_WORDS[judged.urgency],
        "least": URGENCY_WORDS[point.least_urgency],
    }
