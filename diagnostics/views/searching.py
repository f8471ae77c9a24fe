"""The first Knowledge page: the catalogue, and a search over knowledge and past cases."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe
from django.views.decorators.vary import vary_on_headers

from diagnostics import synonym_files
from diagnostics.class_words import CLASS_WORDS
from diagnostics.inference.search_words import asked_of
from diagnostics.knowledge_forms import KnowledgeSearch
from diagnostics.models.search import SearchKind
from diagnostics.selectors import catalogue, searching
from diagnostics.selectors.search_parts import Scope
from diagnostics.services import filling_search
from diagnostics.views.whose_knowledge import Whose, whose

CAUSES_A_PAGE = 20


@require_safe
@vary_on_headers("HX-Request")
def causes(request: HttpRequest) -> HttpResponse:
    known = whose(request)
    search = KnowledgeSearch(request.GET)
    context = {"whose": known, "search": search, "class_words": CLASS_WORDS}
    if search.is_valid():
        context |= _found(known, search, request.GET.get("page"))
    return render(request, _whole_or_part(request, "causes"), context)


def _found(known: Whose, search: KnowledgeSearch, number: str | None) -> dict[str, Any]:
    """Without words to go by the catalogue in its own order, else what fits best."""
    kind, places = search.kind_asked, search.places_asked
    listed = catalogue.causes_at(known.knowledge, **places)
    is_asked = bool(asked_of(search.words_asked, synonym_files.current()))
    if not is_asked and kind in (None, SearchKind.CAUSE):
        return {"page": Paginator(listed, CAUSES_A_PAGE).get_page(number)}
    scope = Scope(
        filling_search.fill_shelf(known.library),
        [plant.pk for plant in known.plants],
        [one.slug for one in listed] if places else None,
    )
    if is_asked:
        found = searching.found_page(scope, search.words_asked, kind, number, CAUSES_A_PAGE)
    else:
        found = searching.listed_page(scope, kind or SearchKind.CAUSE, number, CAUSES_A_PAGE)
    return {"found": found, "page": found.page, "is_asked": is_asked, "kind": kind}


def _whole_or_part(request: HttpRequest, name: str) -> str:
    # While typing only the list is exchanged; going back in history wants the whole page.
    details: Any = getattr(request, "htmx", None)
    is_part = bool(details) and not (details.history_restore_request or details.boosted)
    return f"diagnostics/knowledge/{'_' if is_part else ''}{name}.html"
