"""The drawing of a conveyor's loop on a sheet of its own, on a page and on paper."""

import logging
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from plant import access, drawing_layers, drawing_ways, typesetting
from plant.access import needs
from plant.drawing_forms import DrawingAsked
from plant.models import Conveyor
from plant.roles import Permission
from plant.selectors import drawing_sheet
from plant.selectors.drawing_paper import drawing_paper
from plant.selectors.drawing_sheet import DrawingSheet, LoopRows
from plant.views.keeping import conveyor_or_404

logger = logging.getLogger(__name__)

_SHEET = Path(__file__).parents[1] / "sheets" / "drawing.typ"


@dataclass(frozen=True)
class _Drawn:
    """What an address asks for, drawn; the whole loop while it cannot be."""

    conveyor: Conveyor
    rows: LoopRows
    asked: DrawingAsked
    sheet: DrawingSheet
    now: datetime


@require_safe
@needs(Permission.SEE)
def conveyor_drawing(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    return _page(request, _drawn(request, conveyor_or_404(request, plant_code, tag)))


@require_safe
@needs(Permission.SEE)
def conveyor_drawing_sheet(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    drawn = _drawn(request, conveyor_or_404(request, plant_code, tag))
    if drawn.rows.state.loop is None:
        raise Http404
    if not drawn.asked.is_valid():
        return _page(request, drawn)
    row, reader = drawn.conveyor, access.person_of(request)
    values = drawing_paper(row, drawn.sheet, drawn.asked, reader, drawn.now)
    try:
        pdf = typesetting.pdf_of(_SHEET, values, drawn.now)
    except typesetting.TypesettingFailed:
        logger.exception("The drawing of %s could not be set.", row)
        return render(request, "plant/register/drawing_failed.html", {"row": row}, status=503)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="loop-{row.pk}.pdf"'
    # It names what only this plant's people may read.
    response["Cache-Control"] = "private, no-store"
    return response


def _drawn(request: HttpRequest, row: Conveyor) -> _Drawn:
    now = timezone.now()
    rows = drawing_sheet.loop_rows(row)
    asked = DrawingAsked(
        request.GET, length_m=rows.length_m, turn_s=rows.turn_s, splices=rows.splices
    )
    layer = drawing_layers.layers_of(request, row, now)
    sheet = drawing_sheet.drawing_sheet(rows, layer, now, asked.stretch, asked.instant)
    return _Drawn(row, rows, asked, sheet, now)


def _page(request: HttpRequest, drawn: _Drawn) -> HttpResponse:
    loop, query = drawn.rows.state.loop, request.GET.urlencode()
    context = {
        "conveyor": drawn.conveyor,
        "plant": drawn.conveyor.plant,
        "asked": drawn.asked,
        "rows": drawn.rows,
        "sheet": drawn.sheet,
        "ways": loop and drawing_ways.ways_of(loop, drawn.asked.stretch, request.GET),
        "query": f"?{query}" if query else "",
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
    }
    status = 200 if drawn.asked.is_valid() else 400
    return render(request, "plant/register/drawing.html", context, status=status)
