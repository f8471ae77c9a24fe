"""The Knowledge pages of work methods; nothing here is written."""

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from diagnostics import knowledge_files
from diagnostics.knowledge_words import sources_named
from diagnostics.selectors import catalogue
from diagnostics.views.whose_knowledge import whose

METHODS_A_PAGE = 25


@require_safe
def methods(request: HttpRequest) -> HttpResponse:
    known = whose(request)
    listed = list(known.library.work_methods.values())
    page = Paginator(listed, METHODS_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "diagnostics/knowledge/methods.html", {"whose": known, "page": page})


@require_safe
def method(request: HttpRequest, method: str) -> HttpResponse:
    known = whose(request)
    is_kept = method in known.library.work_methods
    # An old order may name what the plant has dropped since.
    library = known.library if is_kept else knowledge_files.library()
    page = catalogue.method_page(library, method)
    if page is None:
        raise Http404(_("There is no work method %(slug)s.") % {"slug": method})
    context = {
        "whose": known,
        "is_kept": is_kept,
        "page": page,
        "sources": sources_named([page.method.source]),
    }
    return render(request, "diagnostics/knowledge/method.html", context)
