"""Who adds photos and notes to an order, and who may say otherwise of one that is there."""

from django.contrib.auth.models import AnonymousUser

from plant import access
from plant.models import User
from plant.roles import Permission
from workorders.models import OrderNote, OrderPhoto

_ADDING = (Permission.PLAN_ORDER, Permission.DO_ORDER, Permission.PROVE_ORDER)


def may_add(user: User | AnonymousUser) -> bool:
    return any(access.may(user, one) for one in _ADDING)


def may_change_photo(user: User | AnonymousUser, row: OrderPhoto) -> bool:
    """Planners all of them, others those they sent."""
    if access.may(user, Permission.PLAN_ORDER):
        return True
    return may_add(user) and row.sent_by_id is not None and row.sent_by_id == user.pk


def may_change_note(user: User | AnonymousUser, row: OrderNote) -> bool:
    """Words are their writer's alone."""
    return may_add(user) and row.by_id is not None and row.by_id == user.pk
