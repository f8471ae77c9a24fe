"""The conveyors of a person's plants: the list and the sheet of each."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from plant import access, navigation
from plant.access import needs
from plant.models import Conveyor
from plant.roles import Permission
from plant.selectors.drawing import loop_drawing

_ROWS = 25


@require_safe
@needs(Permission.SEE)
def conveyors(request: HttpRequest) -> HttpResponse:
    rows = access.visible(Conveyor.objects.select_related("plant"), request.user)
    page = Paginator(rows.order_by("tag", "pk"), _ROWS).get_page(request.GET.get("page"))
    return render(request, "plant/register/conveyors.html", {"page": page})


@require_safe
@needs(Permission.SEE)
def conveyor(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    rows = Conveyor.objects.select_related("plant")
    row = access.one_visible(rows, request.user, plant__code=plant_code, tag__iexact=tag)
    context = {
        "conveyor": row,
        "plant": row.plant,
        "drawing": loop_drawing(row),
        "panels": navigation.panels("conveyor", request, row),
    }
    return render(request, "plant/register/conveyor.html", context)
