"""More is known than when an order was raised: its urgency is judged anew."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import User
from workorders.models import OrderChange, WorkOrder
from workorders.selectors import trouble
from workorders.services.locking import lock_order
from workorders.services.waiting import check_open


class NothingNewIsKnown(DomainError):
    code = "nothing_new_is_known"


@transaction.atomic
def judge_again(
    *, order_id: int, by: User | None, now: datetime, version: int | None = None
) -> WorkOrder:
    """Take over what the site says now; an urgency a person set stays, only its reasons are new.

    Refuses with OrderChangedMeanwhile, OrderIsNotOpen and NothingNewIsKnown.
    """
    order = lock_order(order_id, version=version)
    check_open(order)
    judged = trouble.judged_now(order)
    if not trouble.says_something_new(order, judged):
        raise NothingNewIsKnown(_("Nothing new is known: it would be judged the same."))
    before = order.urgency
    if not order.urgency_why:
        order.urgency = judged.urgency.value
    order.urgency_reasons = list(judged.reasons)
    OrderChange.objects.create(
        order=order,
        kind=OrderChange.Kind.JUDGED_AGAIN,
        before=before,
        after=order.urgency,
        at=now,
        by=by,
    )
    order.version += 1
    order.save()
    return order
