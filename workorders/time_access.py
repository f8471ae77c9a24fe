"""Who books time on an order, and who corrects it: planners all of it, others their own."""

from django.contrib.auth.models import AnonymousUser

from plant import access
from plant.models import User
from plant.roles import Permission
from workorders.models import TimeBooking, WorkOrder
from workorders.services.booking_time import BOOKABLE_STATES


def may_correct(user: User | AnonymousUser, row: TimeBooking) -> bool:
    """One's own is what one worked or booked."""
    if access.may(user, Permission.PLAN_ORDER):
        return True
    is_own = user.pk is not None and user.pk in {row.worker_id, row.booked_by_id}
    return is_own and access.may(user, Permission.DO_ORDER)


def may_book(user: User | AnonymousUser, order: WorkOrder) -> bool:
    works = any(access.may(user, one) for one in (Permission.PLAN_ORDER, Permission.DO_ORDER))
    return works and order.state in BOOKABLE_STATES
