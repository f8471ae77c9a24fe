"""The drawing of a conveyor's loop on a sheet of its own."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from plant import access
from plant.access import needs
from plant.roles import Permission
from plant.selectors import drawing_sheet
from plant.views.keeping import conveyor_or_404


@require_safe
@needs(Permission.SEE)
def conveyor_drawing(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    context = {
        "conveyor": row,
        "plant": row.plant,
        "sheet": drawing_sheet.drawing_sheet(row),
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
    }
    return render(request, "plant/register/drawing.html", context)
