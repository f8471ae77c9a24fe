"""Shifts made on a conveyor: the list, writing one down, taking one back, undoing."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Conveyor
from plant.roles import Permission
from plant.services.register_refusals import FieldRefusal
from plant.views.keeping import conveyor_or_404, posted, who
from workorders import shift_suggestion
from workorders.models import ShiftMade, WorkOrder
from workorders.selectors import shifts as selectors
from workorders.services import recording_shifts, undoing_shifts
from workorders.shift_forms import BY_ORDER, ON_THE_SPOT, ShiftFilter, ShiftForm, UndoForm

# As many as are offered to be undone at once, the newest.
_MOST_OFFERED = 100


@require_safe
@needs(Permission.SEE)
def shifts(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    form = ShiftFilter(request.GET)
    form.is_valid()
    station, everything = form.cleaned_data.get("station", ""), form.cleaned_data.get("all", False)
    page, found = selectors.page_of_shifts(
        row, only_standing=not everything, station=station.strip(), number=request.GET.get("page")
    )
    context = {
        **_around(request, row),
        "form": form,
        "is_filtered": bool(station) or everything,
        "page": page,
        "shifts": found,
        "standing": selectors.standing_of(row),
        "acts_on": may_take_back(request, found),
    }
    return render(request, "workorders/shifts/list.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def shift_new(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    initial = {"stations": request.GET.get("at", "")[:60]}
    return _write_down(request, row, None, initial)


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def order_shift_new(request: HttpRequest, number: str) -> HttpResponse:
    order = access.one_visible(
        WorkOrder.objects.select_related("conveyor__plant"), request.user, number=number
    )
    return _write_down(request, order.conveyor, order, shift_suggestion.suggested(order.correction))


def _write_down(
    request: HttpRequest, row: Conveyor, order: WorkOrder | None, initial: dict[str, Any]
) -> HttpResponse:
    # Times are typed in the plant's own zone.
    with timezone.override(row.plant.zone_info):
        now = timezone.now()
        initial = {"made_at": now, "made_by": str(who(request))[:80], **initial}
        form = ShiftForm(posted(request), initial=initial, conveyor=row)
        refusal, status = "", 200
        if form.is_bound:
            refusal, status = _try(request, row, order, form)
            if status == 200:
                return redirect(_back(row, order))
        context = {**_around(request, row), "form": form, "order": order, "refusal": refusal}
        return render(request, "workorders/shifts/new.html", context, status=status)


def _try(
    request: HttpRequest, row: Conveyor, order: WorkOrder | None, form: ShiftForm
) -> tuple[str, int]:
    """The refusal in words and the status it has; 200 when it is written down."""
    if not form.is_valid():
        return "", 400
    try:
        made = recording_shifts.record_shifts(
            conveyor_id=row.pk,
            told=form.told(),
            by=access.person_of(request),
            now=timezone.now(),
            order_id=order.pk if order else None,
        )
    except FieldRefusal as refusal:
        form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
        return "", 409
    except DomainError as refusal:
        return str(refusal), 409
    words = ngettext("%(count)d shift is kept.", "%(count)d shifts are kept.", len(made))
    messages.success(request, words % {"count": len(made)})
    return "", 200


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def shifts_undo(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    _page, standing = selectors.page_of_shifts(row, only_standing=True, station="", number=None)
    standing = standing[:_MOST_OFFERED]
    initial = {"shifts": _meant(request, standing)}
    form = UndoForm(posted(request), initial=initial, standing=standing, ways=_ways(request))
    refusal, status = "", 200
    if form.is_bound and not form.is_valid():
        status = 400
    elif form.is_bound:
        try:
            return redirect(_undo(request, row, form))
        except DomainError as error:
            refusal, status = str(error), 409
    context = {**_around(request, row), "form": form, "standing": standing, "refusal": refusal}
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
    return _list(row) + "?all=on"


@require_http_methods(["GET", "POST"])
@needs(Permission.DO_ORDER)
def shift_take_back(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    shift = _shift(request, row, pk)
    others = ShiftMade.objects.standing().filter(together=shift.together).exclude(pk=shift.pk)
    context = {
        **_around(request, row),
        "shift": selectors.shift_row(shift, row),
        "others": others.count(),
        "back": _list(row),
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
    return redirect(_list(row) + "?all=on")


@require_POST
@needs(Permission.DO_ORDER)
def shift_put_back(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    shift = _shift(request, row, pk)
    recording_shifts.put_back_shift(conveyor_id=row.pk, shift_id=shift.pk)
    messages.success(request, _("The shift counts again."))
    return redirect(_list(row))


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
    return redirect(_list(row))


def may_take_back(request: HttpRequest, rows: list[selectors.ShiftRow]) -> list[int]:
    """Keys of those this person may take back: planners all, others what they wrote down."""
    if access.may(request.user, Permission.PLAN_ORDER):
        return [one.row.pk for one in rows]
    if not access.may(request.user, Permission.DO_ORDER):
        return []
    return [one.row.pk for one in rows if one.row.kept_by_id == request.user.pk]


def _shift(request: HttpRequest, row: Conveyor, pk: int) -> ShiftMade:
    rows = ShiftMade.objects.select_related("order", "undo_order", "kept_by")
    shift = access.one_visible(rows, request.user, conveyor=row, pk=pk)
    if shift.kept_by_id != request.user.pk:
        access.require(request.user, Permission.PLAN_ORDER)
    return shift


def _meant(request: HttpRequest, standing: list[selectors.ShiftRow]) -> list[int]:
    """What the way here named: single shifts, or all of an order."""
    asked, order = set(request.GET.getlist("shift")), request.GET.get("order")
    return [
        one.row.pk
        for one in standing
        if str(one.row.pk) in asked or (order and one.row.order and one.row.order.number == order)
    ]


def _ways(request: HttpRequest) -> list[tuple[str, str]]:
    ways = [(ON_THE_SPOT, _("They have been undone already, on the spot"))]
    if access.may(request.user, Permission.RAISE_ORDER):
        ways.insert(0, (BY_ORDER, _("Raise work that undoes them")))
    return ways


def _around(request: HttpRequest, row: Conveyor) -> dict[str, Any]:
    return {
        "conveyor": row,
        "plant": row.plant,
        "may_do": access.may(request.user, Permission.DO_ORDER),
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }


def _list(row: Conveyor) -> str:
    return reverse("shifts", args=[row.plant.code, row.tag])


def _back(row: Conveyor, order: WorkOrder | None) -> str:
    return f"{reverse('order', args=[order.number])}#shifts" if order else _list(row)
