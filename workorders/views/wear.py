"""Wear of a conveyor's parts: the list of spots, one spot with its line, what was renewed."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from plant import access, chart_files
from plant.access import needs
from plant.models import ConditionReading, Conveyor
from plant.roles import Permission
from plant.views.keeping import (
    FormPage,
    answer_form,
    answer_question,
    conveyor_or_404,
    posted,
    who,
)
from workorders import wear_pages
from workorders.life_subjects import RENEWED_WORDS, Renewed
from workorders.lives_forms import RenewalForm
from workorders.models import Renewal
from workorders.selectors.wear import ConveyorWear, SpotWear
from workorders.services import renewing
from workorders.services.renewing import NewRenewal
from workorders.wear_words import day_words

_ROWS = 40


@require_safe
@needs(Permission.SEE)
def wear(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    spots = wear_pages.narrowed(
        ConveyorWear(row, timezone.now()).spots(), request.GET.get("of", "")
    )
    page = Paginator(wear_pages.soonest_first(spots), _ROWS).get_page(request.GET.get("page"))
    context = {
        "conveyor": row,
        "plant": row.plant,
        "page": page,
        "rows": [wear_pages.row_of(one) for one in page.object_list],
        "renewals": _renewals(row),
        "may_take": access.may(request.user, Permission.TAKE_READING),
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
    }
    return render(request, "workorders/lives/wear.html", context)


@require_safe
@needs(Permission.SEE)
def wear_spot(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    now = timezone.now()
    spot = _spot_or_404(request, row, pk, now)
    page = wear_pages.page_of(spot, now.astimezone(row.plant.zone_info))
    chart = chart_files.with_file(request, page["chart"])
    context = {
        "conveyor": row,
        "plant": row.plant,
        "one": wear_pages.row_of(spot),
        "page": page,
        "chart": chart,
        "may_take": access.may(request.user, Permission.TAKE_READING),
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
    }
    return chart_files.file_asked(request, [chart]) or render(
        request, "workorders/lives/spot.html", context
    )


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_READING)
def wear_spot_renewed(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    now = timezone.now()
    spot = _spot_or_404(request, row, pk, now)
    what = wear_pages.renewed_at(spot)
    if what is Renewed.ROLLS:
        raise Http404
    back = reverse("wear-spot", args=[plant_code, tag, pk])
    heading = _("%(what)s renewed: %(where)s") % {
        "what": str(RENEWED_WORDS[what]).capitalize(),
        "where": spot.where if spot.component is None else spot.component.name,
    }
    page = FormPage(heading, _("Write it down"), back, row)
    initial = {"renewed_on": row.plant.day_of(now)}
    form = RenewalForm(posted(request), initial=initial, spot=spot.key.spot)

    def save() -> str:
        filled = form.cleaned_data
        is_all = not filled.pop("only_spot", False)
        new = NewRenewal(what=what, at=spot.key, is_all=is_all, **filled)
        renewing.record_renewal(conveyor_id=row.pk, new=new, by=who(request), now=now)
        messages.success(request, _("Written down. Wear starts anew from that day."))
        return back

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_READING)
def renewal_take_back(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    rows = Renewal.objects.counting().select_related("component", "belt")
    renewal = access.one_visible(rows, request.user, conveyor=row, pk=pk)
    access.require_correcting(request.user, renewal.kept_by_id)
    back = reverse("wear", args=[row.plant.code, row.tag])
    says = {"says": _("The readings before it count again. The record stays, marked.")}
    page = FormPage(_("Take back this renewal?"), _("Take it back"), back, row, more=says)

    def act() -> str:
        renewing.take_back_renewal(renewal_id=renewal.pk, by=who(request), now=timezone.now())
        messages.success(request, _("The renewal is taken back."))
        return back

    facts = [
        (_("Renewed"), f"{renewal.get_what_display()}, {renewal.component or renewal.belt}"),
        (_("Day"), day_words(renewal.renewed_on)),
    ]
    return answer_question(request, page, act, facts)


def _renewals(row: Conveyor) -> Any:
    found = Renewal.objects.filter(conveyor=row)
    return found.select_related("component", "belt", "kept_by")[:_ROWS]


def _spot_or_404(request: HttpRequest, row: Conveyor, pk: int, now: datetime) -> SpotWear:
    reading = access.one_visible(ConditionReading.objects.all(), request.user, conveyor=row, pk=pk)
    spot = ConveyorWear(row, now).spot_of(reading)
    if spot is None:
        raise Http404
    return spot
