"""One page for everything that goes out on paper or to other programs."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from plant import access
from plant.access import needs
from plant.roles import Permission
from plant.selectors.today import latest_day
from workorders.models import Crew, OutageWindow
from workorders.plan_file_forms import PlanDaysForm
from workorders.selectors import papers as selectors
from workorders.selectors.job_papers.pack import MOST_JOBS

_ROWS = 12


@require_safe
@needs(Permission.SEE)
def papers(request: HttpRequest) -> HttpResponse:
    return papers_page(request)


def papers_page(
    request: HttpRequest, *, plan_form: PlanDaysForm | None = None, status: int = 200
) -> HttpResponse:
    """By itself, or again with what was wrong about the days of the plan."""
    plants = list(access.plants_of(request.user))
    today = latest_day(plants, timezone.now())
    windows = access.visible(OutageWindow.objects.all(), request.user)
    coming = selectors.coming_windows(windows, timezone.now())
    page = Paginator(coming, _ROWS).get_page(request.GET.get("page"))
    shown = list(page.object_list)
    crews = selectors.crews_in(shown)
    context = {
        "page": page,
        "rows": [(window, crews.get(window.pk, [])) for window in shown],
        "crews": selectors.working_crews(access.visible(Crew.objects.all(), request.user)),
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
        "most_jobs": MOST_JOBS,
        "several_plants": len(plants) > 1,
        "plan_form": plan_form or PlanDaysForm(plants=plants, today=today),
    }
    return render(request, "workorders/papers/papers.html", context, status=status)
