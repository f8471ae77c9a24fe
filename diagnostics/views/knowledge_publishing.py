"""What asks first and then counts: publish, discard, carry over, go back."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from diagnostics import trial_panel
from diagnostics.edition_forms import CarryOverForm, SureForm, WhyForm
from diagnostics.models import KnowledgeEdition
from diagnostics.selectors import editions as selector
from diagnostics.selectors import shelf
from diagnostics.services import knowledge_keeping as keeping
from diagnostics.services import knowledge_publishing as publishing
from diagnostics.views.knowledge_drafts import ask, do
from diagnostics.views.knowledge_editions import around, edition_asked
from diagnostics.views.whose_knowledge import plant_kept
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Plant
from plant.roles import Permission

_SHOWN = 40


@require_http_methods(["GET", "POST"])
@needs(Permission.PUBLISH_KNOWLEDGE)
def edition_publish(request: HttpRequest, pk: int) -> HttpResponse:
    draft = edition_asked(request, pk)
    form = WhyForm(request.POST or None, initial={"version": draft.version})
    asked = {
        "heading": _("Put edition %(number)d in force?") % {"number": draft.number},
        "button": _("Put it in force"),
        "note": _(
            "Every open case is diagnosed anew by it. The edition before it stays, and can be "
            "brought back."
        ),
    } | _compared(shelf.documents_of(draft.plant_id), draft.contents)
    asked["tried"] = trial_panel.last_outcome(draft)
    if request.method == "GET" or not form.is_valid():
        return ask(request, draft, form, asked)

    def publish() -> object:
        return publishing.publish_draft(
            draft_id=draft.pk,
            version=form.cleaned_data["version"] or 0,
            why=form.cleaned_data["why"],
            by=access.person_of(request),
            now=timezone.now(),
        )

    return do(request, draft, form, asked, publish, _("It is in force."))


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def edition_discard(request: HttpRequest, pk: int) -> HttpResponse:
    draft = edition_asked(request, pk)
    form = SureForm(request.POST or None, initial={"version": draft.version})
    asked = {
        "heading": _("Discard the draft?"),
        "says": draft.title,
        "button": _("Discard it"),
        "note": _("It stays readable in the list of editions, but nobody can go on with it."),
    }
    if request.method == "GET" or not form.is_valid():
        return ask(request, draft, form, asked)

    def discard() -> object:
        version = form.cleaned_data["version"] or 0
        return keeping.discard_draft(draft_id=draft.pk, version=version, now=timezone.now())

    return do(request, draft, form, asked, discard, _("The draft is discarded."))


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def edition_carry_over(request: HttpRequest, pk: int) -> HttpResponse:
    """The way out for a stale draft: its changes are put on what is in force today."""
    draft = edition_asked(request, pk)
    clashes = selector.clashes_of(draft) if draft.is_draft else []
    form = CarryOverForm(request.POST or None, clashes=clashes, initial={"version": draft.version})
    if request.method == "GET" or not form.is_valid():
        return _carrying(request, draft, form, status=400 if form.errors else 200)
    try:
        publishing.carry_over(
            draft_id=draft.pk,
            version=form.cleaned_data["version"],
            keep_mine=form.keep_mine(),
        )
    except DomainError as refusal:
        form.add_error(None, str(refusal))
        return _carrying(request, draft, form, status=409)
    messages.success(request, _("Carried over. The draft now begins with what is in force."))
    return redirect("edition", draft.pk)


def _carrying(
    request: HttpRequest, draft: KnowledgeEdition, form: CarryOverForm, *, status: int
) -> HttpResponse:
    context = around(request, draft) | {"form": form}
    return render(request, "diagnostics/editions/carry_over.html", context, status=status)


@require_http_methods(["GET", "POST"])
@needs(Permission.PUBLISH_KNOWLEDGE)
def edition_go_back(request: HttpRequest, pk: int) -> HttpResponse:
    earlier = edition_asked(request, pk)
    heading = _("Bring edition %(number)d back?") % {"number": earlier.number}
    return _go_back(request, earlier.plant, earlier, earlier.contents, heading)


@require_http_methods(["GET", "POST"])
@needs(Permission.PUBLISH_KNOWLEDGE)
def editions_as_installed(request: HttpRequest) -> HttpResponse:
    """Go back to the files of the installation, where the plant has an edition of its own."""
    plant = plant_kept(request)
    heading = _("Bring the knowledge as installed back?")
    return _go_back(request, plant, None, selector.contents_of(None), heading)


def _go_back(
    request: HttpRequest,
    plant: Plant,
    earlier: KnowledgeEdition | None,
    contents: Any,
    heading: str,
) -> HttpResponse:
    standing = shelf.edition_in_force(plant.pk)
    if standing is None:
        messages.error(request, _("The knowledge as installed is in force already."))
        return redirect("editions")
    standing.plant = plant
    form = WhyForm(request.POST or None, initial={"version": standing.pk})
    asked = {
        "heading": heading,
        "button": _("Bring it back"),
        "note": _(
            "It is published as a new edition that says just the same; answers are again what "
            "they were by it. Every open case is diagnosed anew."
        ),
    } | _compared(standing.contents, contents)
    if request.method == "GET" or not form.is_valid():
        return ask(request, standing, form, asked)

    def go_back() -> object:
        return publishing.roll_back(
            plant_id=plant.pk,
            to_id=earlier.pk if earlier else None,
            from_id=form.cleaned_data["version"] or 0,
            why=form.cleaned_data["why"],
            by=access.person_of(request),
            now=timezone.now(),
        )

    return do(request, standing, form, asked, go_back, _("It is in force."))


def _compared(before: Any, after: Any) -> dict[str, Any]:
    """What would be different, for the page that asks."""
    changes = selector.differences(before, after)
    names = selector.names_in(before, after)
    return {
        "shown": selector.shown(changes[:_SHOWN], names),
        "more": max(len(changes) - _SHOWN, 0),
        "is_compared": True,
    }
