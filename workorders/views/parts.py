"""The catalogue of parts, and one part."""

from datetime import date
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from plant import access
from plant.access import needs
from plant.models import Plant
from plant.roles import Permission
from workorders import part_files
from workorders.models import Part
from workorders.part_forms import PartFilterForm
from workorders.selectors import part_figures, part_supply, where_used
from workorders.selectors.part_figures import PartFigures, PartsWanted

_ROWS = 40
_MOVEMENTS = 20
_PLACES = 25


@require_safe
@needs(Permission.SEE)
def parts(request: HttpRequest) -> HttpResponse:
    plants = list(access.plants_of(request.user))
    form = PartFilterForm(request.GET, plants=plants)
    wanted = form.wanted()
    page = Paginator(_wanted(request, plants, wanted), _ROWS).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "page": page,
        "rows": [PartFigures.of(one) for one in page.object_list],
        "is_filtered": wanted != PartsWanted(),
        "several_plants": len(plants) > 1,
        "may_keep": access.may(request.user, Permission.PLAN_ORDER),
    }
    return render(request, "workorders/catalogue/list.html", context)


@require_safe
@needs(Permission.SEE)
def parts_csv(request: HttpRequest) -> HttpResponse:
    return part_files.as_csv(_for_file(request))


@require_safe
@needs(Permission.SEE)
def parts_xlsx(request: HttpRequest) -> HttpResponse:
    return part_files.as_workbook(_for_file(request))


@require_safe
@needs(Permission.SEE)
def part(request: HttpRequest, pk: int) -> HttpResponse:
    rows = Part.objects.select_related("plant")
    return render(
        request,
        "workorders/catalogue/part.html",
        part_context(request, access.one_visible(rows, request.user, pk=pk)),
    )


def part_context(request: HttpRequest, row: Part) -> dict[str, Any]:
    today = today_at(row.plant)
    figures = part_figures.with_figures(Part.objects.filter(pk=row.pk), {row.plant_id: today})
    written, changes = where_used.written_of(row)
    places = Paginator(where_used.places_of(row, today), _PLACES)
    movements = Paginator(row.movements.select_related("order", "by"), _MOVEMENTS)
    return {
        "part": row,
        "plant": row.plant,
        "today": today,
        "figures": PartFigures.of(figures.get()),
        "dues": row.dues.waiting(),
        "past_dues": row.dues.exclude(pk__in=row.dues.waiting()).order_by("-due_on")[:8],
        "lines": part_supply.lines_of_part(row, today),
        "uses": row.uses.select_related("conveyor"),
        "places": places.get_page(request.GET.get("places")),
        "written": written,
        "changes": changes,
        "movements": movements.get_page(request.GET.get("log")),
        "may_keep": access.may(request.user, Permission.PLAN_ORDER),
        "may_count": access.may(request.user, Permission.DO_ORDER),
    }


def today_at(plant: Plant) -> date:
    return plant.day_of(timezone.now())


def _wanted(request: HttpRequest, plants: list[Plant], wanted: PartsWanted) -> Any:
    seen = access.visible(Part.objects.all(), request.user)
    days = part_figures.days_of(plants, timezone.now())
    return part_figures.parts_wanted(seen, wanted, days)


def _for_file(request: HttpRequest) -> list[PartFigures]:
    """All that the list would show; a store holds no more than some thousand."""
    plants = list(access.plants_of(request.user))
    wanted = PartFilterForm(request.GET, plants=plants).wanted()
    return [PartFigures.of(one) for one in _wanted(request, plants, wanted)]
