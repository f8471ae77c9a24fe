"""Cards of causes as PDF, to take along or pin up."""

import logging
from pathlib import Path

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from diagnostics import knowledge_files
from diagnostics.class_words import class_words
from diagnostics.inference.causes import Cause
from diagnostics.inference.vocabulary import CauseClass
from diagnostics.knowledge_entries import Library
from diagnostics.selectors.cause_cards import cards
from diagnostics.views.whose_knowledge import Whose, whose
from plant import typesetting

logger = logging.getLogger(__name__)

SHEET = Path(__file__).parents[1] / "sheets" / "cause_cards.typ"


@require_safe
def cause_card(request: HttpRequest, slug: str) -> HttpResponse:
    known = whose(request)
    # An old case may name what the plant has dropped since.
    library = known.library if slug in known.knowledge.causes else knowledge_files.library()
    cause = library.knowledge.causes.get(slug)
    if cause is None:
        raise Http404
    return _sheets(request, known, library, [cause], cause.name, slug)


@require_safe
def class_cards(request: HttpRequest, cause_class: str) -> HttpResponse:
    known = whose(request)
    if cause_class not in set(CauseClass):
        raise Http404
    asked = CauseClass(cause_class)
    causes = [one for one in known.knowledge.causes.values() if one.cause_class is asked]
    if not causes:
        raise Http404
    return _sheets(request, known, known.library, causes, class_words(asked), f"cards-{asked}")


def _sheets(
    request: HttpRequest,
    known: Whose,
    library: Library,
    causes: list[Cause],
    title: object,
    name: str,
) -> HttpResponse:
    values = cards(library, causes, title, known.plant)
    try:
        pdf = typesetting.pdf_of(SHEET, values, timezone.now())
    except typesetting.TypesettingFailed:
        logger.exception("The cards of %s could not be set.", name)
        context = {"whose": known, "title": title}
        return render(request, "diagnostics/knowledge/card_failed.html", context, status=503)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{name}.pdf"'
    # It holds what only this plant's people may read.
    response["Cache-Control"] = "private, no-store"
    return response
