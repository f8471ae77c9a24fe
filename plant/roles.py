"""Roles as permission groups; one table says what each may do.

A person gets a role by joining its group and a plant by assignment; `plant/access.py` asks both.
"""

from enum import StrEnum
from typing import Any

from django.apps import apps
from django.utils.translation import gettext_lazy as _


class Role(StrEnum):
    CLERK = "maintenance clerk"
    TECHNICIAN = "technician"
    PLANNER = "planner"
    LEAD = "reliability lead"
    ADMINISTRATOR = "administrator"


ROLE_WORDS = {
    Role.CLERK: _("maintenance clerk"),
    Role.TECHNICIAN: _("technician"),
    Role.PLANNER: _("planner"),
    Role.LEAD: _("reliability lead"),
    Role.ADMINISTRATOR: _("administrator"),
}


class Permission(StrEnum):
    """What a page or service asks for, as Django permission names."""

    SEE = "plant.view_conveyor"
    KEEP_REGISTER = "plant.change_conveyor"
    TAKE_READING = "plant.add_conditionreading"
    ADMINISTER = "plant.administer_plant"
    TAKE_COMPLAINT = "diagnostics.add_complaint"
    WALK_DOWN = "diagnostics.add_walkdown"
    CONFIRM_CAUSE = "diagnostics.confirm_cause"
    MOVE_CASE = "diagnostics.change_case"
    KEEP_KNOWLEDGE = "diagnostics.keep_knowledge"
    PUBLISH_KNOWLEDGE = "diagnostics.publish_knowledge"
    RAISE_ORDER = "workorders.add_workorder"
    PLAN_ORDER = "workorders.plan_workorder"
    DO_ORDER = "workorders.do_workorder"
    PROVE_ORDER = "workorders.prove_workorder"


_EVERYONE = {Permission.SEE, Permission.TAKE_COMPLAINT}
_HANDS = {
    Permission.TAKE_READING,
    Permission.WALK_DOWN,
    Permission.CONFIRM_CAUSE,
    Permission.MOVE_CASE,
    Permission.RAISE_ORDER,
    Permission.DO_ORDER,
    Permission.PROVE_ORDER,
}
ROLE_PERMISSIONS: dict[Role, frozenset[Permission]] = {
    Role.CLERK: frozenset(_EVERYONE | {Permission.MOVE_CASE}),
    Role.TECHNICIAN: frozenset(_EVERYONE | _HANDS),
    Role.PLANNER: frozenset(
        _EVERYONE
        | {
            Permission.MOVE_CASE,
            Permission.RAISE_ORDER,
            Permission.PLAN_ORDER,
            Permission.DO_ORDER,
            Permission.KEEP_REGISTER,
            Permission.TAKE_READING,
        }
    ),
    Role.LEAD: frozenset(
        _EVERYONE
        | _HANDS
        | {
            Permission.PLAN_ORDER,
            Permission.KEEP_REGISTER,
            Permission.KEEP_KNOWLEDGE,
            Permission.PUBLISH_KNOWLEDGE,
        }
    ),
    Role.ADMINISTRATOR: frozenset(Permission),
}


def keep_groups(**_later: Any) -> None:
    """Make the groups hold exactly what the table says; runs after every migrate."""
    group_model = apps.get_model("auth", "Group")
    permission_model = apps.get_model("auth", "Permission")
    by_name = {
        f"{permission.content_type.app_label}.{permission.codename}": permission
        for permission in permission_model.objects.select_related("content_type")
    }
    for role, permissions in ROLE_PERMISSIONS.items():
        group, _made = group_model.objects.get_or_create(name=role.value)
        # The upper apps' permissions exist only once their own migrate has run.
        group.permissions.set(by_name[one] for one in permissions if one in by_name)
