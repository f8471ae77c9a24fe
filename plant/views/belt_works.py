"""The life of a belt: what was done to it, and one form for each thing that can be done."""

from datetime import date
from http import HTTPStatus
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from plant import access
from plant.access import needs
from plant.belt_work_forms import FORMS, ReplaceForm, WorkForm
from plant.belt_work_words import BUTTONS, HEADINGS, told_works
from plant.loop.belt_life import Belting
from plant.loop.belt_operations import WorkKind
from plant.models import Belt, BeltWork, Conveyor
from plant.roles import Permission
from plant.selectors import belting
from plant.services import belt_works, keeping_belts
from plant.services.belt_works import Asked, BeltChangedMeanwhile
from plant.services.register_refusals import FieldRefusal
from plant.views.belts import belt_or_404
from plant.views.keeping import (
    FormPage,
    answer_form,
    answer_question,
    conveyor_or_404,
    posted,
    who,
)

_ROWS = 30


@require_safe
@needs(Permission.SEE)
def belt_page(request: HttpRequest, plant_code: str, tag: str, belt: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    on = belt_or_404(request, row.pk, belt)
    works = on.works.select_related("kept_by", "undone_by")
    page = Paginator(works, _ROWS).get_page(request.GET.get("page"))
    last = belt_works.last_work(on)
    context = {
        "conveyor": row,
        "belt": on,
        "page": page,
        "works": told_works(page.object_list),
        "undoable": last if last and last.before else None,
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
        "operations": [(kind, HEADINGS[kind], _address(kind, row, on)) for kind in FORMS],
    }
    return render(request, "plant/register/belt_page.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def belt_work(
    request: HttpRequest, plant_code: str, tag: str, belt: int, kind: WorkKind
) -> HttpResponse:
    """First the figures, then what would move, then it is done."""
    row = conveyor_or_404(request, plant_code, tag)
    on = belt_or_404(request, row.pk, belt)
    form = FORMS[kind](posted(request), belt=on, today=_today(row))
    if request.method != "POST":
        return _form(request, row, on, kind, form, HTTPStatus.OK)
    if not form.is_valid():
        return _form(request, row, on, kind, form, HTTPStatus.BAD_REQUEST)
    try:
        if request.POST.get("sure"):
            return _do(request, row, on, form)
        before, after = belt_works.worked_out(on, form.operation())
        if "change" in request.POST:
            return _form(request, row, on, kind, form, HTTPStatus.OK)
        return _preview(request, row, on, kind, form, before, after)
    except BeltChangedMeanwhile as refusal:
        return _looked_at_again(request, row, on, kind, form, str(refusal))
    except FieldRefusal as refusal:
        form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
        return _form(request, row, on, kind, form, HTTPStatus.CONFLICT)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def belt_replace(request: HttpRequest, plant_code: str, tag: str, belt: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    on = belt_or_404(request, row.pk, belt)
    same = ("width_mm", "length_m", "carcass", "strength_n_mm", "modulus_kn_m", "mass_kg_m2")
    initial = {name: getattr(on, name) for name in same} | {"removed_on": _today(row)}
    form = ReplaceForm(posted(request), initial=initial)
    heading = _("Replace the belt of %(tag)s") % {"tag": row.tag}
    says = _("The old belt stays on record with its splices and marks; the new one has none yet.")
    page = FormPage(heading, _("Replace it"), _belt_address(row, on), row, more={"says": says})

    def save() -> str:
        values = {k: v for k, v in form.cleaned_data.items() if k != "removed_on"}
        new = keeping_belts.replace_belt(
            conveyor_id=row.pk,
            belt_id=on.pk,
            values=values,
            removed_on=form.cleaned_data["removed_on"],
            today=_today(row),
            by=who(request),
        )
        messages.success(request, _("The belt is replaced. Now add the splices of the new one."))
        return _belt_address(row, new)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def belt_work_undo(
    request: HttpRequest, plant_code: str, tag: str, belt: int, pk: int
) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    on = belt_or_404(request, row.pk, belt)
    work = access.one_visible(BeltWork.objects.all(), request.user, belt=on, pk=pk)
    back = _belt_address(row, on)
    says = _("Length, splices and marks stand again as they did before it.")
    page = FormPage(_("Undo this work?"), _("Undo it"), back, row, more={"says": says})

    def act() -> str:
        belt_works.undo_work(
            conveyor_id=row.pk, belt_id=on.pk, work_id=work.pk, by=who(request), now=timezone.now()
        )
        messages.success(request, _("Undone: the belt stands as before."))
        return back

    (told,) = told_works([work])
    facts = [(_("Work"), told.words), (_("Done"), str(work.done_on or "—"))]
    return answer_question(request, page, act, facts)


def _do(request: HttpRequest, row: Conveyor, on: Belt, form: WorkForm) -> HttpResponse:
    now = timezone.now()
    asked = Asked(
        operation=form.operation(),
        done_on=form.cleaned_data["done_on"],
        note=form.cleaned_data["note"],
        stood=request.POST.get("stood", ""),
    )
    belt_works.work_on_belt(
        conveyor_id=row.pk, belt_id=on.pk, asked=asked, by=who(request), now=now, today=_today(row)
    )
    messages.success(request, _("Done. Splices and marks stand where they are now."))
    return redirect(_belt_address(row, on))


def _looked_at_again(
    request: HttpRequest, row: Conveyor, on: Belt, kind: WorkKind, form: WorkForm, says: str
) -> HttpResponse:
    """What moves as the belt stands by now, to be asked again."""
    try:
        before, after = belt_works.worked_out(on, form.operation())
    except FieldRefusal as refusal:
        form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
        return _form(request, row, on, kind, form, HTTPStatus.CONFLICT)
    return _preview(request, row, on, kind, form, before, after, refusal=says)


def _preview(
    request: HttpRequest,
    row: Conveyor,
    on: Belt,
    kind: WorkKind,
    form: WorkForm,
    before: Belting,
    after: Belting,
    refusal: str = "",
) -> HttpResponse:
    context = {
        **_page(row, on, kind),
        "button": BUTTONS[kind],
        "sent": [(name, form.data.get(name, "")) for name in form.fields],
        "stood": belting.fingerprint(belting.standing(on)),
        "moves": belting.moves(on, before, after),
        "before": before,
        "after": after,
        "refusal": refusal,
    }
    status = HTTPStatus.CONFLICT if refusal else HTTPStatus.OK
    return render(request, "plant/register/belt_preview.html", context, status=status)


def _form(
    request: HttpRequest, row: Conveyor, on: Belt, kind: WorkKind, form: WorkForm, status: int
) -> HttpResponse:
    context = {**_page(row, on, kind), "form": form}
    return render(request, "plant/register/belt_work.html", context, status=status)


def _page(row: Conveyor, on: Belt, kind: WorkKind) -> dict[str, Any]:
    return {"conveyor": row, "belt": on, "heading": HEADINGS[kind], "back": _belt_address(row, on)}


def _address(kind: WorkKind, row: Conveyor, on: Belt) -> str:
    name = f"belt-{kind.value.replace(' ', '-')}"
    return reverse(name, args=[row.plant.code, row.tag, on.pk])


def _belt_address(row: Conveyor, on: Belt) -> str:
    return reverse("belt", args=[row.plant.code, row.tag, on.pk])


def _today(row: Conveyor) -> date:
    return row.plant.day_of(timezone.now())
