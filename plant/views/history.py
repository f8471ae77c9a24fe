"""What was changed in the register of a conveyor, and how it stood on a day."""

from datetime import date, datetime, time, timedelta
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from plant import access
from plant.access import needs
from plant.history_forms import DayForm, HistoryFilter
from plant.models import Conveyor, Plant
from plant.roles import Permission
from plant.selectors.change_words import PLANT, Kind
from plant.selectors.conveyor_sheet import sheet_of_rows
from plant.selectors.register_as_of import register_as_of
from plant.selectors.register_history import RegisterHistory, Wanted
from plant.selectors.rolls import change_row
from plant.views.keeping import conveyor_or_404

_ROWS = 40
_ROLLS = 20


@require_safe
@needs(Permission.SEE)
def conveyor_history(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    form = HistoryFilter(request.GET)
    wanted = form.wanted()
    history: Any = RegisterHistory(row, wanted)
    context = {
        "conveyor": row,
        "form": form,
        "day_form": DayForm(today=_today(row), initial={"on": _today(row)}),
        "is_filtered": wanted != Wanted(),
        "page": Paginator(history, _ROWS).get_page(request.GET.get("page")),
    }
    return render(request, "plant/register/history.html", context)


@require_safe
@needs(Permission.SEE)
def readings_history(request: HttpRequest, plant_code: str, tag: str, kind: Kind) -> HttpResponse:
    """Who kept, corrected and took back what was measured; on pages of its own, for it is much."""
    row = conveyor_or_404(request, plant_code, tag)
    wanted = HistoryFilter(request.GET, kinds=[kind]).wanted()
    history: Any = RegisterHistory(row, wanted, [kind])
    context = {
        "conveyor": row,
        "kind": kind,
        "is_filtered": wanted != Wanted(),
        "page": Paginator(history, _ROWS).get_page(request.GET.get("page")),
    }
    return render(request, "plant/register/history.html", context)


@require_safe
@needs(Permission.ADMINISTER)
def plant_history(request: HttpRequest, code: str) -> HttpResponse:
    """Who changed which of the plant's figures."""
    row = access.one_visible(Plant.objects.all(), request.user, code=code)
    history: Any = RegisterHistory(row, Wanted(), [PLANT])
    page = Paginator(history, _ROWS).get_page(request.GET.get("page"))
    return render(request, "plant/plants/history.html", {"plant": row, "page": page})


@require_safe
@needs(Permission.SEE)
def conveyor_as_it_stood(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    today = _today(row)
    form = DayForm(request.GET if "on" in request.GET else {"on": today}, today=today)
    context = {"now": row, "plant": row.plant, "form": form, "may_keep": False}
    if not form.is_valid():
        return render(request, "plant/register/as_it_stood.html", context, status=400)
    day = form.cleaned_data["on"]
    found = register_as_of(row, _end_of(day, row))
    context |= {"day": day, "began_at": found.began_at, "conveyor": found.conveyor}
    if found.conveyor is not None:
        context["rolls"] = [change_row(row, one) for one in found.rolls[:_ROLLS]]
        context["more_rolls"] = max(0, len(found.rolls) - _ROLLS)
        parts = request.GET.get("parts")
        context["sheet"] = sheet_of_rows(found.conveyor, found.rows, parts, keep=f"on={day}&")
    return render(request, "plant/register/as_it_stood.html", context)


def _today(row: Conveyor) -> date:
    return row.plant.day_of(timezone.now())


def _end_of(day: date, row: Conveyor) -> datetime:
    """The last instant of the plant's day."""
    morrow = datetime.combine(day + timedelta(days=1), time.min, row.plant.zone_info)
    return morrow - timedelta(microseconds=1)
