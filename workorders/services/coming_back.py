"""Whether an order that was set aside may be open again."""

from django.utils.translation import gettext as _

from diagnostics.models import Hypothesis
from workorders.models import WorkOrder
from workorders.order_origins import Origin
from workorders.services import leading_cases
from workorders.services.raising import (
    HypothesisHasOpenOrder,
    check_case_goes_on,
    check_may_have_open_order,
)


def check_may_come_back(order: WorkOrder) -> None:
    """The caller holds the order and its case; refuses as raising does."""
    if leading_cases.is_suggestion(order):
        _check_suggestion(order)
    elif order.hypothesis_id is not None:
        check_may_have_open_order(_hypothesis(order.hypothesis_id))
    if Origin(order.origin) is Origin.RULE:
        # One open order of a case comes from a rule, also when its cause was accepted since.
        rules = WorkOrder.objects.open().filter(case=order.case_id, origin=Origin.RULE.value)
        _refuse_beside(rules.exclude(pk=order.pk).first())


def _check_suggestion(order: WorkOrder) -> None:
    """What nobody accepted comes back unless other work stands for the same."""
    if order.case is not None:
        check_case_goes_on(order.case)
    others = WorkOrder.objects.open().filter(case=order.case_id).exclude(pk=order.pk)
    if Origin(order.origin) is Origin.FINDING:
        others = others.filter(finding=order.finding_id) if order.finding_id else others.none()
    _refuse_beside(others.first())


def _refuse_beside(standing: WorkOrder | None) -> None:
    if standing is not None:
        raise HypothesisHasOpenOrder(
            _("Other work for this is open, %(number)s. Add your note there.")
            % {"number": standing.number}
        )


def _hypothesis(hypothesis_id: int) -> Hypothesis:
    return (
        Hypothesis.objects.select_for_update(of=("self",), no_key=True)
        .select_related("case")
        .get(pk=hypothesis_id)
    )
