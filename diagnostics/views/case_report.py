"""The report of a case as a sheet to hand over."""

import logging
from pathlib import Path

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.selectors.case_report import sheet
from diagnostics.views.cases import case_asked
from plant import access, typesetting
from plant.access import needs
from plant.roles import Permission

logger = logging.getLogger(__name__)

SHEET = Path(__file__).parents[1] / "sheets" / "case_report.typ"


@require_safe
@needs(Permission.SEE)
def case_report(request: HttpRequest, number: str) -> HttpResponse:
    row = case_asked(request, number)
    made = sheet.case_report(row, access.person_of(request))
    try:
        pdf = typesetting.pdf_of(SHEET, made.values, made.recorded_until)
    except typesetting.TypesettingFailed:
        logger.exception("The report of case %s could not be set.", row.number)
        return render(request, "diagnostics/cases/report_failed.html", {"case": row}, status=503)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{row.number}.pdf"'
    # It holds what only this plant's people may read.
    response["Cache-Control"] = "private, no-store"
    return response
