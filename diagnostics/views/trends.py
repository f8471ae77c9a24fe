"""The plants' trend page and its tables as files; one belt's is `belt_trend`."""

from collections.abc import Mapping

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from diagnostics import trend_belts, trend_pages
from diagnostics.models import Case
from diagnostics.selectors import trends as selectors
from diagnostics.trend_belts import BeltTable
from diagnostics.trend_forms import TrendForm
from plant import access, exports
from plant.access import needs
from plant.models import Conveyor
from plant.roles import Permission
from plant.selectors.today import latest_day

_ROWS = 20
FILES = ("time", "zones", "families", "repeats")


@require_safe
@needs(Permission.SEE)
def trends(request: HttpRequest) -> HttpResponse:
    form, cases = _asked(request)
    table = _belts(request, form, cases)
    more = {
        "belts": Paginator(table.rows, _ROWS).get_page(request.GET.get("belts")),
        "table": table,
        "exposure": table.said(is_chosen=form.basis() is not None),
    }
    return _page(request, "diagnostics/trends/plant.html", form, cases, more)


@require_safe
@needs(Permission.SEE)
def trends_file(request: HttpRequest, table: str) -> HttpResponse:
    form, cases = _asked(request)
    if table == "belts":
        return exports.csv_response("trends-belts", *_belts(request, form, cases).file())
    return _file(form, cases, table, "trends")


def _page(
    request: HttpRequest,
    template: str,
    form: TrendForm,
    cases: QuerySet[Case],
    more: Mapping[str, object],
) -> HttpResponse:
    period = form.period()
    repeats = Paginator(selectors.repeats_of(cases, period), _ROWS)
    page = repeats.get_page(request.GET.get("page"))
    context = {
        "form": form,
        "period": period,
        "views": trend_pages.views_of(cases, period),
        "page": page,
        "repeats": list(selectors.with_fixes(list(page.object_list))),
        "query": _query_without_pages(request),
        **more,
    }
    return render(request, template, context, status=200 if form.is_valid() else 400)


def _file(form: TrendForm, cases: QuerySet[Case], table: str, name: str) -> HttpResponse:
    if table not in FILES:
        raise Http404
    header, *rows = trend_pages.file_rows(cases, form.period(), table)
    return exports.csv_response(f"{name}-{table}", header, rows)


def _belts(request: HttpRequest, form: TrendForm, cases: QuerySet[Case]) -> BeltTable:
    conveyors = access.visible(Conveyor.objects.all(), request.user)
    if form.plant_code():
        conveyors = conveyors.filter(plant__code=form.plant_code())
    return trend_belts.table_of(conveyors, cases, form.period(), form.basis(), timezone.now())


def _asked(request: HttpRequest) -> tuple[TrendForm, QuerySet[Case]]:
    plants = list(access.plants_of(request.user))
    form = TrendForm(request.GET.dict(), plants=plants, today=latest_day(plants, timezone.now()))
    cases = access.visible(Case.objects.all(), request.user)
    if form.plant_code():
        cases = cases.filter(conveyor__plant__code=form.plant_code())
    return form, cases


def _query_without_pages(request: HttpRequest) -> str:
    query = request.GET.copy()
    for name in ("page", "belts"):
        query.pop(name, None)
    return query.urlencode()
