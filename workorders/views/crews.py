"""Crews: the list, and one of them with its week and the coming fortnight."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from plant import access
from plant.access import needs
from plant.models import Plant
from plant.roles import Permission
from workorders.models import Crew
from workorders.selectors.outages import crews as selector
from workorders.views.asking import no_plant, plant_asked

_ROWS = 25
_ABSENCES = 10


@require_safe
@needs(Permission.SEE)
def crews(request: HttpRequest) -> HttpResponse:
    plant = access.plants_of(request.user).first()
    if plant is None:
        return no_plant(request, _("Crews"), "windows")
    return _list(request, plant)


@require_safe
@needs(Permission.SEE)
def crews_of(request: HttpRequest, plant_code: str) -> HttpResponse:
    return _list(request, plant_asked(request, plant_code))


def _list(request: HttpRequest, plant: Plant) -> HttpResponse:
    is_retired = request.GET.get("which") == "retired"
    rows = selector.crews_of(
        Crew.objects.filter(plant=plant), timezone.now(), is_retired=is_retired
    )
    context = {
        "plant": plant,
        "plants": list(access.plants_of(request.user)),
        "is_retired": is_retired,
        "page": Paginator(rows, _ROWS).get_page(request.GET.get("page")),
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }
    return render(request, "workorders/outages/crews.html", context)


@require_safe
@needs(Permission.SEE)
def crew(request: HttpRequest, pk: int) -> HttpResponse:
    rows = Crew.objects.select_related("plant").prefetch_related("shifts")
    row = access.one_visible(rows, request.user, pk=pk)
    now = timezone.now()
    absences = selector.absences_of(row)
    context = {
        "crew": row,
        "plant": row.plant,
        "week": selector.week_of(row),
        "days": selector.coming_days(row, now),
        "absences": Paginator(absences, _ABSENCES).get_page(request.GET.get("page")),
        "now": now,
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }
    return render(request, "workorders/outages/crew.html", context)
