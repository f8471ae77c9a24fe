"""How long mends hold: the groups, the mends of one of them, and their tables as files."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from plant import access, exports
from plant.access import needs
from plant.roles import Permission
from plant.selectors.today import latest_day
from workorders import mend_files, mend_words
from workorders.mend_forms import MendForm
from workorders.mend_pages import LEVEL, MARKS, MendPage
from workorders.models import WorkOrder
from workorders.selectors import mend_lives

_GROUPS, _MENDS = 20, 25


@dataclass(frozen=True)
class _Asked:
    form: MendForm
    page: MendPage
    now: datetime
    query: str


@require_safe
@needs(Permission.SEE)
def mends(request: HttpRequest) -> HttpResponse:
    asked = _asked(request)
    page = asked.page
    context = {
        "form": asked.form,
        "shown": page,
        "rows": Paginator(page.judged, _GROUPS).get_page(request.GET.get("page")),
        "says": page.sentences(),
        "chart": page.chart(_file_address("course", asked.query)) if page.rows else None,
        "marks": [mend_words.span(mark, page.mends.basis) for mark in MARKS],
        "level": round(100 * LEVEL),
        "query": asked.query,
    }
    return render(request, "workorders/mends/mends.html", context, status=_status(asked))


@require_safe
@needs(Permission.SEE)
def mends_of_group(request: HttpRequest) -> HttpResponse:
    asked = _asked(request)
    group = request.GET.get("group")
    found = [one for one in asked.page.mends.rows if group is None or one.group == group]
    # The newest are what a person still remembers.
    page = Paginator(found[::-1], _MENDS).get_page(request.GET.get("page"))
    context: dict[str, Any] = {
        "form": asked.form,
        "group": None if group is None else asked.page.name(group),
        "page": page,
        "basis": mend_words.basis_words(asked.page.mends),
        "unit": asked.page.unit,
        "rows": [(one, mend_words.state_words(one, asked.now)) for one in page],
        "query": asked.query,
    }
    return render(request, "workorders/mends/list.html", context, status=_status(asked))


@require_safe
@needs(Permission.SEE)
def mends_file(request: HttpRequest, mends_table: str) -> HttpResponse:
    if mends_table not in mend_files.FILES:
        raise Http404
    asked = _asked(request)
    header, *rows = mend_files.rows_of(mends_table, asked.page, asked.now)
    return exports.csv_response(f"mends-{mends_table}", header, rows)


def _asked(request: HttpRequest) -> _Asked:
    now, plants = timezone.now(), list(access.plants_of(request.user))
    form = MendForm(request.GET.dict(), plants=plants, today=latest_day(plants, now))
    chosen = [one for one in plants if form.plant_code() in ("", one.code)]
    orders = access.visible(WorkOrder.objects.all(), request.user)
    if form.plant_code():
        orders = orders.filter(conveyor__plant__in=chosen)
    by, period = form.grouped_by(), form.period()
    found = mend_lives.mends_of(orders, period, by, now, form.time_in())
    query = request.GET.copy()
    for name in ("page", "group"):
        query.pop(name, None)
    return _Asked(form, MendPage(found, by, period.family, chosen), now, query.urlencode())


def _status(asked: _Asked) -> int:
    return 200 if asked.form.is_valid() else 400


def _file_address(table: str, query: str) -> str:
    return f"{reverse('mends-file', args=[table])}?{query}".removesuffix("?")
