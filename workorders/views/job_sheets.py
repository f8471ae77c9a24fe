"""Job sheets as PDF: one order's, and the pack of a window."""

import logging
from pathlib import Path
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from plant import access, typesetting
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from workorders.models import Crew, OutageWindow, WorkOrder
from workorders.selectors.job_papers import pack
from workorders.selectors.job_papers.job import job_paper
from workorders.selectors.job_papers.rows import records_of
from workorders.selectors.job_papers.sheet import Printing, sheet_values

logger = logging.getLogger(__name__)

SHEET = Path(__file__).parents[1] / "sheets" / "job_sheets.typ"


@require_safe
@needs(Permission.SEE)
def order_sheet(request: HttpRequest, number: str) -> HttpResponse:
    row = access.one_visible(WorkOrder.objects.all(), request.user, number=number)
    printing = _printing(request)
    (record,) = records_of(WorkOrder.objects.filter(pk=row.pk), printing.now)
    papers = [job_paper(record, printing)]
    return _pdf(request, row.number, f"{row.number} {row.title}", papers, printing)


@require_safe
@needs(Permission.SEE)
def window_pack(request: HttpRequest, pk: int) -> HttpResponse:
    windows = OutageWindow.objects.select_related("plant").prefetch_related("conveyors")
    window = access.one_visible(windows, request.user, pk=pk)
    printing = _printing(request)
    try:
        papers = pack.pack_papers(window, _crew_asked(request, window), printing)
    except DomainError as refusal:
        context = {"window": window, "refusal": str(refusal)}
        return render(request, "workorders/papers/pack_refused.html", context, status=409)
    return _pdf(request, f"window-{window.pk}", str(window.name), papers, printing)


def _crew_asked(request: HttpRequest, window: OutageWindow) -> Crew | None:
    """Of this window's plant; 404 for one that is not."""
    asked = request.GET.get("crew", "")
    if not asked:
        return None
    which = int(asked) if asked.isdecimal() and len(asked) < 10 else 0
    return access.one_visible(Crew.objects.filter(plant=window.plant_id), request.user, pk=which)


def _printing(request: HttpRequest) -> Printing:
    # To the minute: the same sheet asked for twice is the same file.
    now = timezone.now().replace(second=0, microsecond=0)
    return Printing(access.person_of(request), now, request.build_absolute_uri)


def _pdf(
    request: HttpRequest, name: str, title: str, papers: list[dict[str, Any]], printing: Printing
) -> HttpResponse:
    try:
        made = typesetting.pdf_of(SHEET, sheet_values(title, papers), printing.now)
    except typesetting.TypesettingFailed:
        logger.exception("The job sheet %s could not be set.", name)
        return render(request, "workorders/papers/sheet_failed.html", status=503)
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{name}.pdf"'
    # It holds what only this plant's people may read.
    response["Cache-Control"] = "private, no-store"
    return response
