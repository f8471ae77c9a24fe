"""Pages about the idler sets of a conveyor: made by the line, put in, taken out, shifted."""

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from plant.access import needs
from plant.errors import DomainError
from plant.idler_forms import FORMS, ChangeForm, LineForm, filled_with
from plant.idler_words import refused_change
from plant.loop.idler_changes import Change
from plant.loop.idler_sets import CannotChange
from plant.models import Conveyor
from plant.roles import Permission
from plant.selectors import idlers as selectors
from plant.services import keeping_idlers
from plant.views.keeping import conveyor_or_404, sheet_of, who
from plant.words import KIND_WORDS, RUN_WORDS

_SHOWN = 5
# Forms whose fields have these names are the ones an undo can lead to.
_BY_ADDRESS = {one.address: one for one in FORMS}
_UNDO = "undo"


@require_safe
@needs(Permission.KEEP_REGISTER)
def idlers(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    context = {
        "conveyor": row,
        "plant": row.plant,
        "back": sheet_of(row),
        "series": selectors.series_of(row),
        "ways": [(one.address, one.heading) for one in FORMS],
        "undo": _undo_of(request, row),
    }
    return render(request, "plant/register/idlers.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def idlers_new(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    form = LineForm(_said(request))
    context: dict[str, Any] = {"form": form, "heading": _("Add idlers by the line")}
    if not form.is_bound:
        return _page(request, row, context, "idlers_new", 200)
    if not form.is_valid():
        return _page(request, row, context, "idlers_new", 400)
    if request.method == "POST":
        try:
            kept = keeping_idlers.add_idlers(
                conveyor_id=row.pk, line=form.read, stamp=_stamp(request), by=who(request)
            )
        except DomainError as refusal:
            group = selectors.new_group(row, form.read)
            context |= _group(row, group) | {"refusal": str(refusal)}
            return _page(request, row, context, "idlers_new", 409)
        said = {"name": kept.name, "count": kept.count}
        words = ngettext(
            "%(name)s with %(count)d set is in the register.",
            "%(name)s with %(count)d sets is in the register.",
            kept.count,
        )
        messages.success(request, words % said)
        return redirect(reverse("idlers", args=[row.plant.code, row.tag]))
    group = selectors.new_group(row, form.read)
    context |= _group(row, group)
    return _page(request, row, context, "idlers_new", 409 if group.refusal else 200)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def idlers_change(
    request: HttpRequest, plant_code: str, tag: str, form_class: type[ChangeForm]
) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    form = form_class(_said(request), initial={"series": request.GET.get("of", "")[:40]})
    context: dict[str, Any] = {"form": form, "heading": form.heading, "says": form.says}
    if not form.is_bound:
        return _page(request, row, context, "idlers_change", 200)
    if not form.is_valid():
        return _page(request, row, context, "idlers_change", 400)
    change = form.change()
    try:
        if request.method == "POST":
            return _carried_out(request, row, change)
        context |= _foreseen(row, change)
    except CannotChange as refusal:
        _put_beside(form, refusal.field, refused_change(refusal))
    except keeping_idlers.IdlersRefused as refusal:
        _put_beside(form, refusal.field, str(refusal))
    except DomainError as refusal:
        context |= _foreseen(row, change) | {"refusal": str(refusal)}
    is_refused = bool(form.errors or context.get("refusal"))
    return _page(request, row, context, "idlers_change", 409 if is_refused else 200)


def _said(request: HttpRequest) -> Any:
    """What was filled in, by either way; nothing where the form is only asked for."""
    if request.method == "POST":
        return request.POST
    return request.GET if set(request.GET) - {"of"} else None


def _stamp(request: HttpRequest) -> str:
    return request.POST.get("stamp", "")[:64]


def _page(
    request: HttpRequest, row: Conveyor, context: dict[str, Any], name: str, status: int
) -> HttpResponse:
    around = {
        "conveyor": row,
        "plant": row.plant,
        "back": sheet_of(row),
        "stamp": selectors.stamp_of(row),
    }
    return render(request, f"plant/register/{name}.html", {**around, **context}, status=status)


def _group(row: Conveyor, group: selectors.NewGroup) -> dict[str, Any]:
    angle_deg = group.line.angle_deg
    return {
        "group": group,
        "kind_words": KIND_WORDS[group.part.kind],
        "run_words": RUN_WORDS[group.part.run],
        "over_m": group.line.over_mm / 1000,
        "is_other_angle": angle_deg is not None and angle_deg != row.trough_angle_deg,
        "refusal": group.refusal,
        "may_save": not group.refusal,
    }


def _carried_out(request: HttpRequest, row: Conveyor, change: Change) -> HttpResponse:
    outcome = keeping_idlers.change_idlers(
        conveyor_id=row.pk, change=change, stamp=_stamp(request), by=who(request)
    )
    messages.success(request, _("Saved."))
    where = reverse("idlers", args=[row.plant.code, row.tag])
    if outcome.reverse is None:
        return redirect(where)
    address, fields = filled_with(outcome.reverse)
    return redirect(f"{where}?{urlencode({_UNDO: address, **fields})}")


def _foreseen(row: Conveyor, change: Change) -> dict[str, Any]:
    found = selectors.foresee(row, change)
    return {
        "foreseen": found,
        "moved": found.moved[:_SHOWN],
        "more_moved": max(0, len(found.moved) - _SHOWN),
        "refusal": found.refusal,
        "may_save": not found.refusal,
    }


def _put_beside(form: forms.Form, field: str | None, words: str) -> None:
    form.add_error(field if field in form.fields else None, words)


def _undo_of(request: HttpRequest, row: Conveyor) -> str:
    """Where the change just made is taken back, after a look at what that does."""
    form_class = _BY_ADDRESS.get(request.GET.get(_UNDO, ""))
    if form_class is None:
        return ""
    fields = {
        name: request.GET[name][:2000] for name in form_class.base_fields if name in request.GET
    }
    return f"{reverse(form_class.address, args=[row.plant.code, row.tag])}?{urlencode(fields)}"
