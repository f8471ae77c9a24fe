"""Notes from the field: the list, one of them, a new one, and what becomes of it."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from diagnostics.models import FieldNote
from diagnostics.note_forms import NoLongerForm, NoteFilter, NoteForm, NoteTextForm
from diagnostics.selectors import field_notes as selectors
from diagnostics.selectors.field_notes import NotesWanted
from diagnostics.services import field_notes as service
from diagnostics.views.counting import counts_asked
from diagnostics.views.whose_knowledge import whose
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Component, Conveyor, Plant
from plant.pictures import PictureRefused
from plant.roles import Permission
from plant.services.register_refusals import StaleForm
from plant.views.keeping import version_of

_FORM = "diagnostics/notes/form.html"


@require_safe
@needs(Permission.SEE)
def field_notes(request: HttpRequest) -> HttpResponse:
    known = whose(request)
    form = NoteFilter(request.GET, plant=known.plant)
    asked = form.cleaned_data if form.is_valid() else {}
    wanted = NotesWanted(
        plant_id=known.plant.pk if known.plant else None,
        cause=asked.get("cause", ""),
        conveyor=asked.get("conveyor"),
        component=_component_of(request, known.plant),
        also_past=asked.get("past", False),
    )
    rows = access.visible(FieldNote.objects.all(), request.user)
    context = {
        "whose": known,
        "form": form,
        "component": wanted.component,
        "is_filtered": wanted != NotesWanted(wanted.plant_id),
        "page": selectors.page_of_notes(rows, wanted, request.GET.get("page")),
        "may_write": access.may(request.user, Permission.WALK_DOWN),
    }
    return render(request, "diagnostics/notes/list.html", context)


def _component_of(request: HttpRequest, plant: Plant | None) -> Component | None:
    said = request.GET.get("component", "")
    if plant is None or not said.isascii() or not said.isdecimal() or len(said) > 18:
        return None
    return Component.objects.filter(conveyor__plant=plant, pk=int(said)).first()


@require_http_methods(["GET", "POST"])
@needs(Permission.WALK_DOWN)
def field_note_new(request: HttpRequest) -> HttpResponse:
    plant, start = _about_asked(request)
    if request.method == "GET":
        return _new_page(request, plant, NoteForm(plant=plant, initial=start))
    form = NoteForm(request.POST, request.FILES, plant=plant)
    if not form.is_valid():
        return _new_page(request, plant, form, 400)
    try:
        note = service.write_note(
            plant=plant,
            about=form.about(),
            new=form.new_note(),
            by=access.person_of(request),
            now=timezone.now(),
        )
    except PictureRefused as refusal:
        form.add_error("photos", str(refusal))
        return _new_page(request, plant, form, 400)
    except DomainError as refusal:
        form.add_error(None, str(refusal))
        return _new_page(request, plant, form, 409)
    messages.success(request, _("The note is kept. The next one here reads it."))
    return redirect("field-note", note.pk)


def _about_asked(request: HttpRequest) -> tuple[Plant, dict[str, Any]]:
    """Whose note, and what the address says it is about; another plant's thing is not there."""
    start: dict[str, Any] = {"cause": request.GET.get("cause", "")}
    component = _one(request, "component", Component)
    conveyor = component.conveyor if component else _one(request, "conveyor", Conveyor)
    if component:
        start |= {"component": component.pk, "place": component.name}
    if conveyor:
        return conveyor.plant, start | {"conveyor": conveyor.pk}
    plant = whose(request).plant
    if plant is None:
        raise Http404
    return plant, start


def _one(request: HttpRequest, name: str, model: Any) -> Any:
    said = request.GET.get(name, "")
    if not said:
        return None
    if not said.isascii() or not said.isdecimal() or len(said) > 18:
        raise Http404
    related = "conveyor__plant" if model is Component else "plant"
    return access.one_visible(model.objects.select_related(related), request.user, pk=int(said))


def _new_page(
    request: HttpRequest, plant: Plant, form: NoteForm, status: int = 200
) -> HttpResponse:
    context = {
        "form": form,
        "plant": plant,
        "heading": _("Leave a note"),
        "back": f"{reverse('field-notes')}?plant={plant.code}",
    }
    return render(request, _FORM, context, status=status)


@require_safe
@needs(Permission.SEE)
def field_note(request: HttpRequest, pk: int) -> HttpResponse:
    note = _note_asked(request, pk)
    context = {
        "note": note,
        "only": [note],
        "plant": note.plant,
        "earlier": note.earlier_texts.select_related("changed_by"),
        "may_change": _may_change(request, note),
        "may_end": access.may(request.user, Permission.WALK_DOWN),
    }
    return render(request, "diagnostics/notes/note.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def field_note_edit(request: HttpRequest, pk: int) -> HttpResponse:
    note = _changed(request, pk)
    if request.method == "GET":
        return _edit_page(request, note, NoteTextForm(initial={"text": note.text}))
    form = NoteTextForm(request.POST, request.FILES)
    if not form.is_valid():
        return _edit_page(request, note, form, 400)
    try:
        service.change_note(
            note_id=note.pk,
            new=form.new_note(),
            version=version_of(request),
            by=access.person_of(request),
            now=timezone.now(),
        )
    except PictureRefused as refusal:
        form.add_error("photos", str(refusal))
        return _edit_page(request, note, form, 400)
    except StaleForm as refusal:
        form.add_error(None, str(refusal))
        return _edit_page(request, _note_asked(request, pk), form, 409, is_stale=True)
    except DomainError as refusal:
        form.add_error(None, str(refusal))
        return _edit_page(request, note, form, 409)
    messages.success(request, _("Saved. The earlier text is kept with the note."))
    return redirect("field-note", note.pk)


def _edit_page(
    request: HttpRequest,
    note: FieldNote,
    form: NoteTextForm,
    status: int = 200,
    *,
    is_stale: bool = False,
) -> HttpResponse:
    context = {
        "form": form,
        "note": note,
        "plant": note.plant,
        "version": note.version,
        "stands": note.text if is_stale else "",
        "heading": _("Change the note"),
        "back": reverse("field-note", args=[note.pk]),
    }
    return render(request, _FORM, context, status=status)


@require_http_methods(["GET", "POST"])
@needs(Permission.WALK_DOWN)
def field_note_no_longer(request: HttpRequest, pk: int) -> HttpResponse:
    note = _note_asked(request, pk)
    form = NoLongerForm(request.POST if request.method == "POST" else None)
    context = {"form": form, "note": note, "plant": note.plant}
    template = "diagnostics/notes/no_longer.html"
    if request.method == "GET":
        return render(request, template, context)
    if not form.is_valid():
        return render(request, template, context, status=400)
    why, by = form.cleaned_data["why"], access.person_of(request)
    try:
        service.end_note(note_id=note.pk, why=why, by=by, now=timezone.now())
    except DomainError as refusal:
        form.add_error("why", str(refusal))
        return render(request, template, context, status=409)
    messages.success(request, _("It is kept as no longer so."))
    return redirect("field-note", note.pk)


@require_POST
@needs(Permission.WALK_DOWN)
def field_note_holds(request: HttpRequest, pk: int) -> HttpResponse:
    note = _note_asked(request, pk)
    service.let_hold_again(note_id=note.pk)
    messages.success(request, _("It holds again."))
    return redirect("field-note", note.pk)


@require_POST
@needs(Permission.SEE)
def field_note_counts(request: HttpRequest, pk: int) -> HttpResponse:
    note = _changed(request, pk)
    counts, by = counts_asked(request), access.person_of(request)
    service.let_count(note_id=note.pk, counts=counts, by=by, now=timezone.now())
    messages.success(request, _("The note is put back.") if counts else _("It is taken back."))
    return redirect("field-note", note.pk)


def _note_asked(request: HttpRequest, pk: int) -> FieldNote:
    return access.one_visible(selectors.told(FieldNote.objects.all()), request.user, pk=pk)


def _changed(request: HttpRequest, pk: int) -> FieldNote:
    note = _note_asked(request, pk)
    if not _may_change(request, note):
        raise PermissionDenied
    return note


def _may_change(request: HttpRequest, note: FieldNote) -> bool:
    """Who wrote it, as long as they walk belts, and whoever keeps the plant's knowledge."""
    if access.may(request.user, Permission.KEEP_KNOWLEDGE):
        return True
    is_own = note.written_by_id is not None and note.written_by_id == request.user.pk
    return is_own and access.may(request.user, Permission.WALK_DOWN)
