"""Editions of a plant's knowledge: the list, one edition, what it says, two compared."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.edition_forms import BeginForm, EntryFilter
from diagnostics.edition_states import EditionState
from diagnostics.knowledge_change_words import KIND_WORDS, entry_name
from diagnostics.knowledge_comparison import Documents
from diagnostics.models import KnowledgeEdition
from diagnostics.selectors import editions as selector
from diagnostics.selectors import shelf
from diagnostics.services import knowledge_keeping as keeping
from diagnostics.views.whose_knowledge import plant_kept, whose
from plant import access, navigation
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission

_EDITIONS, _CHANGES, _ENTRIES = 20, 20, 30
INSTALLED = "installed"


def edition_asked(request: HttpRequest, pk: int) -> KnowledgeEdition:
    """The edition of an address with its plant; of another plant it is not there."""
    rows = KnowledgeEdition.objects.select_related("plant", "based_on", "drafted_by")
    return access.one_visible(rows.select_related("published_by"), request.user, pk=pk)


def around(request: HttpRequest, edition: KnowledgeEdition) -> dict[str, Any]:
    """What every page of one edition shows."""
    return {
        "edition": edition,
        "plant": edition.plant,
        "may_keep": access.may(request.user, Permission.KEEP_KNOWLEDGE),
        "may_publish": access.may(request.user, Permission.PUBLISH_KNOWLEDGE),
    }


@require_safe
@needs(Permission.SEE)
def editions(request: HttpRequest) -> HttpResponse:
    plant = plant_kept(request)
    rows = selector.editions_of(plant.pk)
    standing = rows.filter(state=EditionState.IN_FORCE.value).first()
    context = {
        "whose": whose(request),
        "plant": plant,
        "page": Paginator(rows, _EDITIONS).get_page(request.GET.get("page")),
        "standing": standing,
        "draft": rows.filter(state=EditionState.DRAFT.value).first(),
        "installed_version": shelf.installed_version(),
        "may_keep": access.may(request.user, Permission.KEEP_KNOWLEDGE),
        "may_publish": access.may(request.user, Permission.PUBLISH_KNOWLEDGE),
    }
    return render(request, "diagnostics/editions/editions.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def edition_new(request: HttpRequest) -> HttpResponse:
    plant = plant_kept(request)
    form = BeginForm(request.POST or None)
    context = {"whose": whose(request), "plant": plant, "form": form}
    if request.method == "GET" or not form.is_valid():
        status = 400 if request.method == "POST" else 200
        return render(request, "diagnostics/editions/new.html", context, status=status)
    try:
        draft = keeping.begin_draft(
            plant_id=plant.pk,
            title=form.cleaned_data["title"],
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        context["refusal"] = str(refusal)
        return render(request, "diagnostics/editions/new.html", context, status=409)
    messages.success(request, _("The draft is begun. Nothing of it counts until it is published."))
    return redirect("edition", draft.pk)


@require_safe
@needs(Permission.SEE)
def edition(request: HttpRequest, pk: int) -> HttpResponse:
    row = edition_asked(request, pk)
    page = Paginator(selector.changes_of(row), _CHANGES).get_page(request.GET.get("page"))
    context = around(request, row) | {
        "page": page,
        "changes": selector.noted(page.object_list, selector.names_in(row.contents)),
        "standing": shelf.edition_in_force(row.plant_id),
        "is_stale": row.is_draft and shelf.is_stale(row),
        "panels": navigation.panels("knowledge-draft", request, row) if row.is_draft else [],
    }
    return render(request, "diagnostics/editions/edition.html", context)


@require_safe
@needs(Permission.SEE)
def edition_entries(request: HttpRequest, pk: int) -> HttpResponse:
    row = edition_asked(request, pk)
    form = EntryFilter(request.GET)
    kind, words = form.asked()
    found = selector.entries_named(row.contents, kind, words)
    page = Paginator(found, _ENTRIES).get_page(request.GET.get("page"))
    context = around(request, row) | {
        "form": form,
        "kind": kind,
        "kind_words": KIND_WORDS[kind],
        "page": page,
        "entries": [(one["slug"], entry_name(one)) for one in page],
    }
    return render(request, "diagnostics/editions/entries.html", context)


@require_safe
@needs(Permission.SEE)
def edition_compare(request: HttpRequest, pk: int) -> HttpResponse:
    """With `with`: another edition of the plant or the installed files; else its own base."""
    row = edition_asked(request, pk)
    other, before = _compared_with(request, row)
    changes = selector.differences(before, row.contents)
    page = Paginator(changes, _CHANGES).get_page(request.GET.get("page"))
    context = around(request, row) | {
        "other": other,
        "page": page,
        "shown": selector.shown(list(page), selector.names_in(before, row.contents)),
        "others": selector.editions_of(row.plant_id).exclude(pk=row.pk)[:_EDITIONS],
    }
    return render(request, "diagnostics/editions/compare.html", context)


def _compared_with(
    request: HttpRequest, row: KnowledgeEdition
) -> tuple[KnowledgeEdition | None, Documents]:
    asked = request.GET.get("with", "")
    if not asked:
        return row.based_on, selector.contents_of(row.based_on)
    if asked == INSTALLED:
        return None, selector.contents_of(None)
    if not (asked.isascii() and asked.isdecimal() and len(asked) < 18):
        raise Http404
    other = access.one_visible(
        KnowledgeEdition.objects.all(), request.user, pk=int(asked), plant=row.plant_id
    )
    return other, other.contents
