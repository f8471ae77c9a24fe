"""Shifts taken back, for they were written by mistake, or undone, for they are brought back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.keys_typed import key_in
from plant.models import Conveyor
from plant.roles import Permission
from plant.views.keeping import conveyor_or_404, posted
from workorders.models import ShiftMade
from workorders.selectors import shifts as selectors
from workorders.services import recording_shifts, undoing_shifts
from workorders.shift_forms import BY_ORDER, ON_THE_SPOT, UndoForm
from workorders.views.shifts import around, list_of


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def shifts_undo(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    asked = [key for key in map(key_in, request.GET.getlist("shift")) if key is not None]
    number = request.GET.get("order", "")
    standing = selectors.offered_to_undo(row, asked, number)
    initial = {"shifts": _meant(standing, asked, number)}
    form = UndoForm(posted(request), initial=initial, standing=standing, ways=_ways(request))
    refusal, status = "", 200
    if form.is_bound and not form.is_valid():
        status = 400
    elif form.is_bound:
        try:
            return redirect(_undo(request, row, form))
        except DomainError as error:
            refusal, status = str(error), 409
    context = {**around(request, row), "form": form, "standing": standing, "refusal": refusal}
    return render(request, "workorders/shifts/undo.html", context, status=status)


def _undo(request: HttpRequest, row: Conveyor, form: UndoForm) -> str:
    asked = {
        "conveyor_id": row.pk,
        "shift_ids": form.cleaned_data["shifts"],
        "by": access.person_of(request),
        "now": timezone.now(),
    }
    if form.cleaned_data["how"] == BY_ORDER:
        order = undoing_shifts.undo_by_order(**asked)
        messages.success(request, _("%(number)s says how to undo it.") % {"number": order.number})
        return reverse("order", args=[order.number])
    count = undoing_shifts.undo_on_the_spot(**asked)
    words = ngettext("%(count)d shift is undone.", "%(count)d shifts are undone.", count)
    messages.success(request, words % {"count": count})
    return list_of(row) + "?all=on"


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def shift_take_back(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    shift = _shift(request, row, pk)
    others = ShiftMade.objects.standing().filter(together=shift.together).exclude(pk=shift.pk)
    context = {
        **around(request, row),
        "shift": selectors.shift_row(shift, row),
        "others": others.count(),
        "back": list_of(row),
    }
    if request.method != "POST":
        return render(request, "workorders/shifts/take_back.html", context)
    try:
        count = recording_shifts.take_back_shifts(
            conveyor_id=row.pk,
            shift_id=shift.pk,
            with_others="all" in request.POST,
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        context["refusal"] = str(refusal)
        return render(request, "workorders/shifts/take_back.html", context, status=409)
    words = ngettext("%(count)d shift is taken back.", "%(count)d shifts are taken back.", count)
    messages.success(request, words % {"count": count})
    return redirect(list_of(row) + "?all=on")


@require_POST
@needs(Permission.DO_ORDER)
def shift_put_back(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    shift = _shift(request, row, pk)
    recording_shifts.put_back_shift(conveyor_id=row.pk, shift_id=shift.pk)
    messages.success(request, _("The shift counts again."))
    return redirect(list_of(row))


@require_POST
@needs(Permission.DO_ORDER)
def shift_not_undone(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    shift = access.one_visible(ShiftMade.objects.all(), request.user, conveyor=row, pk=pk)
    try:
        undoing_shifts.not_undone_after_all(conveyor_id=row.pk, shift_id=shift.pk)
        messages.success(request, _("The shift stands."))
    except DomainError as refusal:
        messages.error(request, str(refusal))
    return redirect(list_of(row))


def _shift(request: HttpRequest, row: Conveyor, pk: int) -> ShiftMade:
    rows = ShiftMade.objects.select_related("order", "undo_order", "kept_by")
    shift = access.one_visible(rows, request.user, conveyor=row, pk=pk)
    if shift.kept_by_id != request.user.pk:
        access.require(request.user, Permission.PLAN_ORDER)
    return shift


def _meant(standing: list[selectors.ShiftRow], asked: list[int], number: str) -> list[int]:
    """What the way here named: single shifts, or all of an order that nobody undoes yet."""
    return [
        one.row.pk
        for one in standing
        if one.row.pk in asked
        or (one.row.order is not None and one.row.order.number == number and not one.undoing)
    ]


def _ways(request: HttpRequest) -> list[tuple[str, str]]:
    ways = [(ON_THE_SPOT, _("They have been undone already, on the spot"))]
    if access.may(request.user, Permission.RAISE_ORDER):
        ways.insert(0, (BY_ORDER, _("Raise work that undoes them")))
    return ways
