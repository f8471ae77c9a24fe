"""One file sent in for the register: its rows, its progress, and what becomes of it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from plant import access, import_words
from plant.access import needs
from plant.models import RegisterImport
from plant.roles import Permission
from plant.selectors import import_pages
from plant.services import importing
from plant.services.import_work import ImportRefused
from plant.views.keeping import who


@require_safe
@needs(Permission.KEEP_REGISTER)
def register_import(request: HttpRequest, pk: int) -> HttpResponse:
    return render(request, "plant/imports/file.html", _context(request, _import(request, pk)))


@require_safe
@needs(Permission.KEEP_REGISTER)
def import_progress(request: HttpRequest, pk: int) -> HttpResponse:
    """The part of the page that moves; once the work has ended the whole page is asked for."""
    one = _import(request, pk)
    response = render(request, "plant/imports/progress.html", {"one": one})
    if not _is_owed(one):
        response["HX-Refresh"] = "true"
    return response


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def import_apply(request: HttpRequest, pk: int) -> HttpResponse:
    one = _import(request, pk)
    if request.method != "POST":
        return render(request, "plant/imports/apply.html", _context(request, one))
    try:
        one = importing.ask_apply(import_id=one.pk, by=who(request), now=timezone.now())
    except ImportRefused as refused:
        one.refresh_from_db()
        reason = refused.reason
        told = (reason.code, reason.column, reason.values)
        context = _context(request, one)
        context["refusal"] = import_words.in_words(import_words.FILE, told)
        return render(request, "plant/imports/file.html", context, status=409)
    if one.state == RegisterImport.State.APPLIED:
        messages.success(request, _("All of the file is in the register."))
    return redirect("register-import", one.pk)


@require_POST
@needs(Permission.KEEP_REGISTER)
def import_stop(request: HttpRequest, pk: int) -> HttpResponse:
    importing.ask_stop(import_id=_import(request, pk).pk, now=timezone.now())
    messages.success(request, _("It stops; nothing of the file is taken in."))
    return redirect("register-import", pk)


@require_POST
@needs(Permission.KEEP_REGISTER)
def import_again(request: HttpRequest, pk: int) -> HttpResponse:
    importing.read_again(import_id=_import(request, pk).pk, now=timezone.now())
    return redirect("register-import", pk)


@require_POST
@needs(Permission.KEEP_REGISTER)
def import_leave(request: HttpRequest, pk: int) -> HttpResponse:
    importing.leave(import_id=_import(request, pk).pk)
    messages.success(request, _("The file is put aside; the register stays as it is."))
    return redirect("register-files")


def _import(request: HttpRequest, pk: int) -> RegisterImport:
    rows = RegisterImport.objects.select_related("plant", "made_by", "applied_by")
    return access.one_visible(rows, request.user, pk=pk)


def _is_owed(one: RegisterImport) -> bool:
    return one.state in {RegisterImport.State.TO_READ, RegisterImport.State.TO_APPLY}


def _context(request: HttpRequest, one: RegisterImport) -> dict[str, object]:
    verdict, sheet = request.GET.get("kind", ""), request.GET.get("sheet", "")
    refused = importing.refused_rows(one)
    if not verdict and refused and one.state == RegisterImport.State.READ:
        verdict = import_pages.VERDICTS.REFUSED.value
    writing = importing.writing_rows(one)
    return {
        "one": one,
        "is_owed": _is_owed(one),
        "is_read": one.state == RegisterImport.State.READ,
        "counts": import_pages.counts_of(one),
        "verdicts": import_pages.VERDICTS.choices,
        "refusal": import_pages.refusal_of(one),
        "remarks": import_pages.remarks_of(one),
        "page": import_pages.rows_page(one, verdict, sheet, request.GET.get("page")),
        "kind": verdict,
        "sheet": sheet,
        "refused": refused,
        "writing": writing,
        "may_apply": one.state == RegisterImport.State.READ and writing and not refused,
    }
