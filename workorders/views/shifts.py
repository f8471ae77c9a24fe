"""Shifts made on a conveyor: the list, and writing one down."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Conveyor
from plant.roles import Permission
from plant.services.register_refusals import FieldRefusal
from plant.views.keeping import conveyor_or_404, posted, who
from workorders import shift_suggestion
from workorders.models import WorkOrder
from workorders.selectors import shifts as selectors
from workorders.services import recording_shifts
from workorders.shift_forms import ShiftFilter, ShiftForm


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
        **around(request, row),
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
        context = {**around(request, row), "form": form, "order": order, "refusal": refusal}
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


def may_take_back(request: HttpRequest, rows: list[selectors.ShiftRow]) -> list[int]:
    """Keys of those this person may take back: planners all, others what they wrote down."""
    if access.may(request.user, Permission.PLAN_ORDER):
        return [one.row.pk for one in rows]
    if not access.may(request.user, Permission.DO_ORDER):
        return []
    return [one.row.pk for one in rows if one.row.kept_by_id == request.user.pk]


def around(request: HttpRequest, row: Conveyor) -> dict[str, Any]:
    return {
        "conveyor": row,
        "plant": row.plant,
        "may_do": access.may(request.user, Permission.DO_ORDER),
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }


def list_of(row: Conveyor) -> str:
    return reverse("shifts", args=[row.plant.code, row.tag])


def _back(row: Conveyor, order: WorkOrder | None) -> str:
    return f"{reverse('order', args=[order.number])}#shifts" if order else list_of(row)
