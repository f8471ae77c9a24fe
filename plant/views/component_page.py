"""The page of a component: the lasting address that its label opens."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from plant import access, navigation
from plant.access import needs
from plant.models import Component
from plant.roles import Permission
from plant.selectors import conveyor_sheet
from plant.views.keeping import conveyor_or_404, sheet_of


@require_safe
@needs(Permission.SEE)
def component(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    part = access.one_visible(Component.objects.all(), request.user, conveyor=row, pk=pk)
    part.conveyor = row
    context = {
        "conveyor": row,
        "plant": row.plant,
        "part": part,
        "table_address": sheet_of(row) + conveyor_sheet.row_address(part),
        "panels": navigation.panels("component", request, part),
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
        "may_complain": access.may(request.user, Permission.TAKE_COMPLAINT),
    }
    return render(request, "plant/register/component.html", context)
