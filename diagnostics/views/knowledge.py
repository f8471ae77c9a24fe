"""The Knowledge pages as a plant keeps it: one cause, rules. Nothing here is written."""

from django.core.paginator import Page, Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from diagnostics import knowledge_files
from diagnostics.class_words import class_words
from diagnostics.drawings.of_causes import drawing_of, has_own_drawing
from diagnostics.drawings.printed import edge_words
from diagnostics.knowledge_comparison import Kind
from diagnostics.knowledge_words import FEATURE_WORDS, sources_named
from diagnostics.models import Case, KnowledgeChange
from diagnostics.selectors import catalogue, editions
from diagnostics.selectors.catalogue import CauseOfPlant, RuleRow
from diagnostics.views.whose_knowledge import Whose, whose
from plant import access
from plant.models import Plant
from plant.roles import Permission

CASES_A_PAGE = 10
RULES_A_PAGE = 25
HISTORY_A_PAGE = 20


@require_safe
def cause(request: HttpRequest, slug: str) -> HttpResponse:
    known = whose(request)
    is_kept = slug in known.knowledge.causes
    # An old case may name what the plant has dropped since.
    library = known.library if is_kept else knowledge_files.library()
    page = catalogue.cause_page(library.knowledge, library.work_methods, slug)
    if page is None:
        raise Http404(_("The catalogue has no cause %(slug)s.") % {"slug": slug})
    drawing = drawing_of(page.cause)
    context = {
        "whose": known,
        "is_kept": is_kept,
        "knowledge": library.knowledge,
        "page": page,
        "class_words": class_words(page.cause.cause_class),
        "drawing": drawing,
        "edge_words": edge_words(drawing),
        "has_own_drawing": has_own_drawing(page.cause),
        "row": CauseOfPlant(page.cause, known.plant),
        "cases": _past_cases(known, slug, request.GET.get("page")),
        "sources": sources_named(page.texts_with_sources),
    }
    return render(request, "diagnostics/knowledge/cause.html", context)


def _past_cases(known: Whose, slug: str, number: str | None) -> Page[Case] | None:
    """None for a person without a plant."""
    if known.plant is None:
        return None
    return Paginator(catalogue.past_cases(known.plant, slug), CASES_A_PAGE).get_page(number)


@require_safe
def rules(request: HttpRequest) -> HttpResponse:
    known = whose(request)
    rows = catalogue.rule_rows(known.knowledge)
    # A rule base is read on paper too: one sheet with all of it, asked for by a link.
    is_whole = "whole" in request.GET
    size = len(rows) if is_whole else RULES_A_PAGE
    page = Paginator(rows, size).get_page(request.GET.get("page"))
    context = {
        "whose": known,
        "last_changes": _last_changes(known.plant, page),
        "page": page,
        "is_whole": is_whole,
        "feature_words": FEATURE_WORDS,
        "sources": sources_named(row.rule.source for row in page),
    }
    return render(request, "diagnostics/knowledge/rules.html", context)


def _last_changes(plant: Plant | None, page: Page[RuleRow]) -> dict[str, KnowledgeChange]:
    slugs = [row.rule.slug for row in page]
    return editions.last_changes(plant.pk, Kind.RULE, slugs) if plant else {}


@require_safe
def rule(request: HttpRequest, rule_slug: str) -> HttpResponse:
    """One rule and its history; a dropped one has a history only."""
    known = whose(request)
    row = next(
        (one for one in catalogue.rule_rows(known.knowledge) if one.rule.slug == rule_slug), None
    )
    history = editions.history_of(known.plant.pk, Kind.RULE, rule_slug) if known.plant else None
    if row is None and not (history and history.exists()):
        raise Http404
    page = Paginator(history or [], HISTORY_A_PAGE).get_page(request.GET.get("page"))
    names = {slug: one.name for slug, one in known.knowledge.causes.items()}
    context = {
        "whose": known,
        "row": row,
        "slug": rule_slug,
        "page": page,
        "history": editions.noted(page.object_list, names),
        "feature_words": FEATURE_WORDS,
        "sources": sources_named([row.rule.source] if row else []),
        "may_keep": access.may(request.user, Permission.KEEP_KNOWLEDGE),
        "draft": editions.draft_of(known.plant.pk) if known.plant else None,
    }
    return render(request, "diagnostics/knowledge/rule.html", context)
