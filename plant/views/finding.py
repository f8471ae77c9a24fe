"""Finding a conveyor from the field at the top of every sheet, and parts on the page behind it."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe
from django.views.decorators.vary import vary_on_headers

from plant import access
from plant.access import needs
from plant.roles import Permission
from plant.selectors import finding_conveyors, searching_register

_ROWS = 20
# Whoever sees more than this has not said enough.
_MOST = 200
_WHILE_TYPING = 6
_UNDER_THE_FIELD = "found-conveyors"


@require_safe
@vary_on_headers("HX-Request", "HX-Target")
@needs(Permission.SEE)
def search(request: HttpRequest) -> HttpResponse:
    words = finding_conveyors.tidy_words(request.GET.get("q", ""))
    plants = access.plants_of(request.user)
    if request.headers.get("HX-Target") == _UNDER_THE_FIELD:
        found = finding_conveyors.find_conveyors(plants, words, _WHILE_TYPING)
        return render(request, "plant/parts/found.html", {"words": words, "found": found})
    found = finding_conveyors.find_conveyors(
        plants, words, _MOST, also_retired=True, also_notes=True
    )
    context = {
        "search_words": words,
        "page": Paginator(found, _ROWS).get_page(request.GET.get("page")),
        "parts": searching_register.page_of_parts(plants, words, request.GET.get("parts"), _ROWS),
        "several_plants": len(plants) > 1,
    }
    return render(request, "plant/search.html", context)
