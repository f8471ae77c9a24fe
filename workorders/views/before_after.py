"""Two periods set against each other: around a campaign, or as somebody types them."""

from datetime import datetime
from typing import Any

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from diagnostics.models import Case
from plant import access, exports, exposure_words
from plant.access import needs
from plant.metering.basis import Basis
from plant.models import Conveyor, Plant
from plant.roles import Permission
from workorders import campaign_pages, campaign_words
from workorders.campaign_forms import PeriodsForm, SpanForm
from workorders.campaign_pages import ComparisonPage
from workorders.models import Campaign
from workorders.selectors import before_after as selector
from workorders.selectors.campaign_periods import Periods, periods_of
from workorders.views.campaigns import campaign_or_404

_BELTS = 20


@require_safe
@needs(Permission.SEE)
def campaign(request: HttpRequest, pk: int) -> HttpResponse:
    row = campaign_or_404(request, pk)
    form = SpanForm(request.GET)
    shown = _of_campaign(request, row, form)
    context = {
        "campaign": row,
        "belts_said": campaign_words.belts_words(row),
        "family_said": campaign_words.family_words(row.family),
        "may_keep": access.may(request.user, Permission.PLAN_ORDER),
        "form": form,
        "plant": row.plant,
        **_shown(request, shown, "campaign-file", [row.pk]),
    }
    status = 200 if form.is_valid() else 400
    return render(request, "workorders/campaigns/campaign.html", context, status=status)


@require_safe
@needs(Permission.SEE)
def campaign_file(request: HttpRequest, pk: int, campaign_table: str) -> HttpResponse:
    row = campaign_or_404(request, pk)
    return _file(_of_campaign(request, row, SpanForm(request.GET)), campaign_table)


@require_safe
@needs(Permission.SEE)
def periods(request: HttpRequest) -> HttpResponse:
    form = _periods_form(request)
    if form is None:
        return render(request, "workorders/campaigns/periods.html", {})
    is_valid = form.is_valid()
    shown = _of_periods(request, form) if is_valid else None
    context = {
        "form": form,
        "plant": form.of_plant,
        **_shown(request, shown, "before-after-file", []),
    }
    return render(
        request, "workorders/campaigns/periods.html", context, status=200 if is_valid else 400
    )


@require_safe
@needs(Permission.SEE)
def periods_file(request: HttpRequest, campaign_table: str) -> HttpResponse:
    form = _periods_form(request)
    is_told = form is not None and form.is_valid()
    return _file(_of_periods(request, form) if form and is_told else None, campaign_table)


def _of_campaign(request: HttpRequest, row: Campaign, form: SpanForm) -> ComparisonPage | None:
    """None while nothing of the time after is over."""
    now = timezone.now()
    today = row.plant.day_of(now)
    found = periods_of(row, form.days_asked(), today)
    if found is None:
        return None
    belts = Conveyor.objects.filter(plant=row.plant)
    if row.conveyors.all():
        belts = belts.filter(pk__in=[one.pk for one in row.conveyors.all()])
    elif row.area:
        belts = belts.filter(area=row.area)
    return _compared(request, row.plant, belts, found, form.basis(), now, row)


def _of_periods(request: HttpRequest, form: PeriodsForm) -> ComparisonPage:
    now = timezone.now()
    return _compared(request, form.of_plant, form.belts(), form.periods(), form.basis(), now)


def _compared(
    request: HttpRequest,
    plant: Plant,
    belts: QuerySet[Conveyor],
    found: Periods,
    basis: Basis | None,
    now: datetime,
    campaign: Campaign | None = None,
) -> ComparisonPage:
    every = Conveyor.objects.filter(plant=plant)
    cases = access.visible(Case.objects.all(), request.user)
    told = selector.before_after(belts, every, cases, found, basis, now)
    return ComparisonPage(told, plant, campaign, is_usual=basis is None)


def _shown(
    request: HttpRequest, shown: ComparisonPage | None, file: str, args: list[Any]
) -> dict[str, Any]:
    query = request.GET.copy()
    query.pop("page", None)
    if shown is None:
        return {"shown": None, "query": query.urlencode()}
    files = {
        name: _address(file, [*args, name], query.urlencode()) for name in campaign_pages.FILES
    }
    belts = Paginator(shown.found.belts, _BELTS).get_page(request.GET.get("page"))
    return {
        "shown": shown,
        "says": shown.sentences(),
        "chart": shown.chart(files["cases"]) if shown.points else None,
        "page": belts,
        "belts": shown.belt_rows(belts),
        "rate_heading": exposure_words.rate_heading(shown.found.basis),
        "files": files,
        "query": query.urlencode(),
    }


def _file(shown: ComparisonPage | None, table: str) -> HttpResponse:
    if shown is None or table not in campaign_pages.FILES:
        raise Http404
    header, *rows = campaign_pages.rows_of(table, shown)
    return exports.csv_response(f"before-after-{table}", header, rows)


def _address(name: str, args: list[Any], query: str) -> str:
    return f"{reverse(name, args=args)}?{query}".removesuffix("?")


def _periods_form(request: HttpRequest) -> PeriodsForm | None:
    """Of the plant asked for, else the first; None for a person without a plant."""
    plants = list(access.plants_of(request.user))
    if not plants:
        return None
    plant = next((one for one in plants if one.code == request.GET.get("plant")), plants[0])
    today = plant.day_of(timezone.now())
    return PeriodsForm(request.GET.dict(), plants=plants, plant=plant, today=today)
