"""Knowledge handed on as a bundle, and a bundle of another plant looked at and taken in."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.bundle_forms import BundleFileForm, TakeInForm
from diagnostics.bundles.faults import BundleRefused
from diagnostics.knowledge_change_words import KIND_WORDS, KINDS_WORDS
from diagnostics.models import KnowledgeBundle, KnowledgeEdition
from diagnostics.selectors import bundles as selector
from diagnostics.selectors import editions, shelf
from diagnostics.selectors.bundles import Preview
from diagnostics.services import bundle_taking
from diagnostics.views.knowledge_editions import edition_asked
from diagnostics.views.whose_knowledge import plant_kept, whose
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Plant
from plant.roles import Permission

_BUNDLES, _CHANGES = 20, 20
# RFC 9512.
_YAML = "application/yaml"


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def bundles(request: HttpRequest) -> HttpResponse:
    plant = plant_kept(request)
    form = BundleFileForm(request.POST or None, request.FILES or None)
    if request.method == "POST":
        form = BundleFileForm(request.POST, request.FILES)
        if form.is_valid():
            return _taken(request, plant, form)
        return _bundles(request, plant, form, status=400)
    return _bundles(request, plant, form)


def _taken(request: HttpRequest, plant: Plant, form: BundleFileForm) -> HttpResponse:
    file = form.cleaned_data["file"]
    try:
        made = bundle_taking.take_bundle(
            plant=plant,
            name=file.name,
            content=file.read(),
            by=access.person_of(request),
            now=timezone.now(),
        )
    except BundleRefused as refusal:
        refused = {"refusal": refusal, "refused_name": file.name}
        return _bundles(request, plant, BundleFileForm(), status=400, **refused)
    return redirect("bundle", made.pk)


def _bundles(
    request: HttpRequest, plant: Plant, form: BundleFileForm, *, status: int = 200, **more: Any
) -> HttpResponse:
    rows = selector.bundles_of(plant.pk)
    context = {
        "whose": whose(request),
        "plant": plant,
        "form": form,
        "page": Paginator(rows, _BUNDLES).get_page(request.GET.get("page")),
        "standing": shelf.edition_in_force(plant.pk),
        "installed_version": shelf.installed_version(),
        **more,
    }
    return render(request, "diagnostics/bundles/bundles.html", context, status=status)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def bundle(request: HttpRequest, pk: int) -> HttpResponse:
    """What would be different; sent back with a reason, it is taken into the draft."""
    rows = KnowledgeBundle.objects.select_related("plant", "sent_by", "taken_into", "taken_by")
    row = access.one_visible(rows, request.user, pk=pk)
    preview = selector.preview_of(row)
    form = TakeInForm(
        request.POST if request.method == "POST" else None,
        kinds=preview.differing_kinds,
        initial={"seen": preview.seen},
    )
    if request.method == "GET" or not form.is_valid():
        return _bundle(request, row, preview, form, status=400 if form.errors else 200)
    try:
        draft = bundle_taking.take_into_draft(
            bundle_id=row.pk,
            kinds=form.chosen(),
            is_dropping=form.cleaned_data["drops"],
            seen=form.cleaned_data["seen"],
            why=form.cleaned_data["why"],
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        form.add_error(None, str(refusal))
        # What was typed stays; what it is compared with is shown, and meant, anew.
        typed = request.POST.copy()
        typed["seen"] = preview.seen
        form.data = typed
        return _bundle(request, row, preview, form, status=409)
    messages.success(
        request, _("Taken into the draft. Nothing of it counts until it is published.")
    )
    return redirect("edition", draft.pk)


def _bundle(
    request: HttpRequest,
    row: KnowledgeBundle,
    preview: Preview,
    form: TakeInForm,
    *,
    status: int,
) -> HttpResponse:
    page = Paginator(preview.changes, _CHANGES).get_page(request.GET.get("page"))
    names = editions.names_in(preview.ours)
    names |= {one["slug"]: one["name"] for one in row.contents.get("causes", ())}
    context = {
        "bundle": row,
        "plant": row.plant,
        "preview": preview,
        "counts": [(KINDS_WORDS[one.kind], one) for one in preview.counts],
        "only_here": [(KIND_WORDS[kind], name) for kind, name in preview.only_here],
        "form": form,
        "page": page,
        "shown": editions.shown(list(page), names),
    }
    return render(request, "diagnostics/bundles/bundle.html", context, status=status)


@require_safe
@needs(Permission.KEEP_KNOWLEDGE)
def bundle_in_force(request: HttpRequest) -> HttpResponse:
    plant = plant_kept(request)
    return _written(plant, shelf.edition_in_force(plant.pk))


@require_safe
@needs(Permission.KEEP_KNOWLEDGE)
def edition_bundle(request: HttpRequest, pk: int) -> HttpResponse:
    edition = edition_asked(request, pk)
    return _written(edition.plant, edition)


def _written(plant: Plant, edition: KnowledgeEdition | None) -> HttpResponse:
    text = selector.bundle_text(plant, edition, timezone.now())
    which = f"edition-{edition.number}" if edition else "as-installed"
    response = HttpResponse(text, content_type=_YAML)
    name = f"knowledge-{plant.code}-{which}.yaml"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
