"""The drawing of a conveyor's loop on a sheet of its own."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from plant import access, drawing_layers, drawing_ways
from plant.access import needs
from plant.drawing_forms import DrawingAsked
from plant.roles import Permission
from plant.selectors import drawing_sheet
from plant.views.keeping import conveyor_or_404


@require_safe
@needs(Permission.SEE)
def conveyor_drawing(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row, now = conveyor_or_404(request, plant_code, tag), timezone.now()
    rows = drawing_sheet.loop_rows(row)
    asked = DrawingAsked(
        request.GET, length_m=rows.length_m, turn_s=rows.turn_s, splices=rows.splices
    )
    layer = drawing_layers.layers_of(request, row, now)
    loop = rows.state.loop
    context = {
        "conveyor": row,
        "plant": row.plant,
        "asked": asked,
        "rows": rows,
        "ways": loop and drawing_ways.ways_of(loop, asked.stretch, request.GET),
        "sheet": drawing_sheet.drawing_sheet(rows, layer, now, asked.stretch, asked.instant),
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
    }
    status = 200 if asked.is_valid() else 400
    return render(request, "plant/register/drawing.html", context, status=status)
