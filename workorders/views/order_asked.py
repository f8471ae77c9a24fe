"""The order of an address, and who adds to it."""

from django.http import HttpRequest

from plant import access
from plant.roles import Permission
from workorders.models import WorkOrder


def order_asked(request: HttpRequest, number: str) -> WorkOrder:
    rows = WorkOrder.objects.select_related("conveyor__plant", "case")
    return access.one_visible(rows, request.user, number=number)


def require_plan_or_do(request: HttpRequest) -> None:
    if not access.may(request.user, Permission.PLAN_ORDER):
        access.require(request.user, Permission.DO_ORDER)
