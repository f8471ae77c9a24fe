"""The engineering check of a conveyor's register; reads only."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.mechanics.register_check.checking import check_register
from diagnostics.register_check_forms import ReadingsForm
from diagnostics.register_check_pages import check_page
from diagnostics.register_check_ways import Ways
from diagnostics.selectors.register_check import registered
from plant import access, chart_files
from plant.access import needs
from plant.roles import Permission
from plant.views.keeping import conveyor_or_404


@require_safe
@needs(Permission.SEE)
def register_check(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    conveyor = conveyor_or_404(request, plant_code, tag)
    form = ReadingsForm(request.GET.dict())
    register = registered(conveyor, form.readings())
    ways = Ways(conveyor, register.belt_pk, register.component_pks)
    checked = check_register(register.figures)
    page = check_page(checked, ways, conveyor, is_weighted=register.figures.is_weighted)
    chart = chart_files.with_file(request, page.tension.chart if page.tension else None)
    context = {
        "conveyor": conveyor,
        "plant": conveyor.plant,
        "form": form,
        "missing": register.missing,
        "page": page,
        "tension_chart": chart,
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
    }
    status = 400 if form.errors else 200
    return chart_files.file_asked(request, [chart]) or render(
        request, "diagnostics/register_check/check.html", context, status=status
    )
