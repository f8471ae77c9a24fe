"""A belt's page of recurring faults, and its tables as files."""

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from diagnostics import trend_exposure, trend_pages
from diagnostics.belt_trend import parts
from diagnostics.models import Case
from diagnostics.selectors import trends as selectors
from diagnostics.selectors.belt_faults import BeltStudy
from diagnostics.trend_forms import TrendForm
from plant import access, exports
from plant.access import needs
from plant.roles import Permission
from plant.views.keeping import conveyor_or_404

_ROWS = 20
# Which page of the repeats is shown is no choice of what is counted.
_PAGES = ("page",)


@require_safe
@needs(Permission.SEE)
def conveyor_trend(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    form, study = _asked(request, plant_code, tag)
    repeats = Paginator(selectors.repeats_of(study.cases, study.period), _ROWS)
    page = repeats.get_page(request.GET.get("page"))
    context = {
        "form": form,
        "period": study.period,
        "conveyor": study.conveyor,
        "plant": study.conveyor.plant,
        "study": study,
        "parts": [(part.slug, part.build(study)) for part in parts.parts()],
        "page": page,
        "repeats": list(selectors.with_fixes(list(page.object_list))),
        "exposure": trend_exposure.of_belt(
            study.conveyor,
            study.cases,
            study.period,
            study.exposure,
            study.now,
            is_chosen=study.basis is not None,
        ),
    }
    status = 200 if form.is_valid() else 400
    return render(request, "diagnostics/belt_trend/page.html", context, status=status)


@require_safe
@needs(Permission.SEE)
def conveyor_trend_file(
    request: HttpRequest, plant_code: str, tag: str, table: str
) -> HttpResponse:
    _form, study = _asked(request, plant_code, tag)
    name = f"trend-{plant_code}-{table}"
    if table == "repeats":
        header, *rows = trend_pages.file_rows(study.cases, study.period, table)
        return exports.csv_response(name, header, rows)
    part = parts.part_of(table)
    if part is None:
        raise Http404
    return exports.csv_response(name, *part.build(study).table)


def _asked(request: HttpRequest, plant_code: str, tag: str) -> tuple[TrendForm, BeltStudy]:
    conveyor = conveyor_or_404(request, plant_code, tag)
    now = timezone.now()
    today = conveyor.plant.day_of(now)
    form = TrendForm(request.GET.dict(), plants=[], today=today)
    cases = access.visible(Case.objects.all(), request.user).filter(conveyor=conveyor)
    asked = {name: text for name, text in request.GET.dict().items() if name not in _PAGES and text}
    study = BeltStudy(conveyor, cases, form.period(), request.user, now, form.basis(), asked)
    return form, study
