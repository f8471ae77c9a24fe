"""Who may add pictures and drawings, and who may say otherwise of one that is there."""

from django.contrib.auth.models import AnonymousUser

from plant import access
from plant.models import Attachment, User
from plant.roles import Permission


def may_add_pictures(user: User | AnonymousUser) -> bool:
    return any(access.may(user, one) for one in (Permission.KEEP_REGISTER, Permission.WALK_DOWN))


def may_add_drawings(user: User | AnonymousUser) -> bool:
    return access.may(user, Permission.KEEP_REGISTER)


def may_change(user: User | AnonymousUser, row: Attachment) -> bool:
    """Keepers of the register all of them, who walks the belt line the pictures they sent."""
    if access.may(user, Permission.KEEP_REGISTER):
        return True
    is_own = row.sent_by_id is not None and row.sent_by_id == user.pk
    return row.is_picture and is_own and access.may(user, Permission.WALK_DOWN)
