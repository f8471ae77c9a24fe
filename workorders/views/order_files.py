"""Orders and the plan as files for spreadsheets."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from plant import access, exports
from plant.access import needs
from plant.roles import Permission
from plant.selectors.today import latest_day
from workorders.forms import OrderFilterForm
from workorders.models import WorkOrder
from workorders.plan_file_forms import PlanDaysForm
from workorders.selectors import backlog
from workorders.selectors import order_tables as tables
from workorders.views.papers import papers_page


@require_safe
@needs(Permission.SEE)
def orders_file(request: HttpRequest, kind: str) -> HttpResponse:
    """The list of the work page, with its filters, unpaged."""
    form = OrderFilterForm(request.GET, plants=list(access.plants_of(request.user)))
    form.is_valid()
    seen = access.visible(WorkOrder.objects.all(), request.user)
    orders = backlog.orders_wanted(seen, form.wanted())
    if _is_too_long(orders):
        return _refused(request)
    rows = tables.order_rows(orders)
    return _file(kind, "orders", _("Orders"), tables.header(tables.ORDERS), rows)


@require_safe
@needs(Permission.SEE)
def plan_file(request: HttpRequest, kind: str) -> HttpResponse:
    plants = list(access.plants_of(request.user))
    form = PlanDaysForm(request.GET, plants=plants, today=latest_day(plants, timezone.now()))
    if not form.is_valid():
        return papers_page(request, plan_form=form, status=400)
    asked = form.plants_asked()
    first, last = form.cleaned_data["first"], form.cleaned_data["last"]
    seen = access.visible(WorkOrder.objects.all(), request.user)
    zones = {plant.zone_info for plant in asked}
    orders = (
        tables.planned_between(seen.filter(conveyor__plant__in=asked), first, last, zones)
        if zones
        else seen.none()
    )
    if _is_too_long(orders):
        return _refused(request)
    rows = tables.plan_rows(orders)
    return _file(kind, f"plan-{first}-{last}", _("Plan"), tables.header(tables.PLAN), rows)


def _file(
    kind: str, name: str, title: str, header: Sequence[str], rows: Iterable[Sequence[Any]]
) -> HttpResponse:
    if kind == "csv":
        answer = exports.csv_response(name, header, rows)
    else:
        answer = exports.xlsx_response(name, title, header, rows)
    answer["Cache-Control"] = "private, no-store"
    return answer


def _is_too_long(orders: QuerySet[WorkOrder]) -> bool:
    return orders.order_by()[: tables.MOST_ROWS + 1].count() > tables.MOST_ROWS


def _refused(request: HttpRequest) -> HttpResponse:
    context = {"most": tables.MOST_ROWS}
    return render(request, "workorders/papers/too_long.html", context, status=409)
