"""A case closes with its cause: whoever proves work for a mere suspicion says first what it was."""

from django.utils.translation import gettext as _

from plant.errors import DomainError
from workorders.models import WorkOrder
from workorders.services import leading_cases


class CauseNotSaid(DomainError):
    code = "cause_not_said"


def check_cause_said(order: WorkOrder) -> None:
    """Refuse a passed proof for a case of which nobody has accepted or named a cause."""
    if order.case is None or leading_cases.has_accepted_cause(order.case.pk):
        return
    raise CauseNotSaid(
        _("Nobody has said what the cause of %(case)s was. Accept or name it on the case.")
        % {"case": order.case.number}
    )
