"""The outage sheet itself, and undoing the last move on it."""

from datetime import date, timedelta
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Plant
from plant.roles import Permission
from workorders.models import WorkOrder
from workorders.selectors.outage_sheet import Sheet, sheet_of
from workorders.services import sheet_moves
from workorders.sheet_forms import Asked, SheetForm
from workorders.views import sheet_moves_made
from workorders.views.sheet_answers import answer, stands_words, wants_words

_TRAY_ROWS = 20


@require_safe
@needs(Permission.SEE)
def outage_sheet(request: HttpRequest) -> HttpResponse:
    plants = list(access.plants_of(request.user))
    plant = _plant(request, plants)
    if plant is None:
        return render(request, "workorders/sheet/nothing.html")
    form = SheetForm(request.GET, plants=plants)
    status = 200 if form.is_valid() else 400
    now = timezone.now()
    today = plant.day_of(now)
    asked = form.asked(today)
    sheet = sheet_of(plant, asked.first_day, asked.days, now)
    context = {
        "plant": plant,
        "form": form,
        "sheet": sheet,
        "page": _tray(request, sheet, asked),
        "asked": asked,
        "last_day": asked.first_day + timedelta(days=asked.days - 1),
        "ways": _ways(plant, asked, today),
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
        "undo": sheet_moves_made.last(request),
        "drawn_at": now,
        "drawn_in": plant,
    }
    return render(request, "workorders/sheet/sheet.html", context, status=status)


@require_POST
@needs(Permission.PLAN_ORDER)
def outage_sheet_undo(request: HttpRequest) -> HttpResponse:
    """The last move of this person, when nobody changed the order since."""
    made = sheet_moves_made.last(request)
    rows = access.visible(WorkOrder.objects.select_related("conveyor__plant"), request.user)
    order = rows.filter(number=made.number).first() if made else None
    if made is None or order is None:
        return _nothing_to_undo(request)
    try:
        order = sheet_moves.put_back(
            order_id=order.pk,
            before=made.stood.place(),
            by=access.person_of(request),
            now=timezone.now(),
            version=made.version,
        )
    except DomainError as refusal:
        sheet_moves_made.forget_last(request)
        return answer(request, order, refusal=refusal)
    sheet_moves_made.forget_last(request, now_version=order.version)
    off = _("%(number)s is off the sheet again.") % {"number": order.number}
    return answer(request, order, words=stands_words(order) if order.crew_id else off)


def _plant(request: HttpRequest, plants: list[Plant]) -> Plant | None:
    code = request.GET.get("plant")
    if code:
        found = next((one for one in plants if one.code == code), None)
        if found is None:
            raise Http404
        return found
    return plants[0] if plants else None


def _tray(request: HttpRequest, sheet: Sheet, asked: Asked) -> Any:
    waiting = [
        one
        for one in sheet.waiting
        if (not asked.belt or one.order.conveyor.tag.casefold() == asked.belt.casefold())
        and (not asked.urgency or one.order.urgency == asked.urgency)
    ]
    return Paginator(waiting, _TRAY_ROWS).get_page(request.GET.get("page"))


def _ways(plant: Plant, asked: Asked, today: date) -> dict[str, str]:
    """Addresses of the stretch before, the one after, and today's."""

    def address(first: date) -> str:
        named = {"plant": plant.code, "first": first.isoformat()}
        if asked.days != Asked.days:
            named["days"] = str(asked.days)
        return f"{reverse('outage-sheet')}?{urlencode(named)}"

    span = timedelta(days=asked.days)
    return {
        "earlier": address(asked.first_day - span),
        "later": address(asked.first_day + span),
        "today": address(today),
    }


def _nothing_to_undo(request: HttpRequest) -> HttpResponse:
    told = _("There is no move of yours to undo.")
    if wants_words(request):
        return JsonResponse({"refusal": told, "code": "nothing_to_undo"}, status=409)
    messages.error(request, told)
    return redirect("outage-sheet")
