"""Windows that come back: the list of series, one of them, beginning and ending one."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from plant import access
from plant.access import needs
from plant.roles import Permission
from workorders.models import OutageSeries
from workorders.models.outage_window import OutageWindowQuerySet
from workorders.outage_forms import EndSeriesForm, SeriesForm
from workorders.repeat_words import rule_words
from workorders.selectors.outages import windows as selector
from workorders.services.outages import series as service
from workorders.views.asking import AskPage, answer, plant_asked, posted, seen, version_seen

_ROWS = 25


@require_safe
@needs(Permission.SEE)
def series(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = plant_asked(request, plant_code)
    rows = selector.series_of(OutageSeries.objects.filter(plant=plant), timezone.now())
    context = {
        "plant": plant,
        "plants": list(access.plants_of(request.user)),
        "page": Paginator(rows, _ROWS).get_page(request.GET.get("page")),
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }
    return render(request, "workorders/outages/series_list.html", context)


@require_safe
@needs(Permission.SEE)
def series_page(request: HttpRequest, pk: int) -> HttpResponse:
    row = _series(request, pk)
    windows = selector.windows_of_series(row)
    context = {
        "series": row,
        "plant": row.plant,
        "hours": row.minutes / 60,
        "page": Paginator(windows, _ROWS).get_page(request.GET.get("page") or _now_at(windows)),
        "now": timezone.now(),
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }
    return render(request, "workorders/outages/series.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def series_new(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = plant_asked(request, plant_code)
    back = (reverse("window-series-of", args=[plant.code]), _("Windows that come back"))
    says = _(
        "Its windows are made a year ahead, and on; each can then move or be called off alone."
    )
    page = AskPage(_("A window that comes back"), _("Put them in"), back, plant, says=says)
    with timezone.override(plant.zone_info):
        form = SeriesForm(posted(request), plant=plant)

        def save() -> str:
            made = service.begin_series(
                plant=plant,
                wanted=form.wanted(),
                by=access.person_of(request),
                now=timezone.now(),
                seen=seen(request),
            )
            messages.success(request, _("The windows stand, a year ahead."))
            return reverse("window-series", args=[made.pk])

        return answer(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def series_end(request: HttpRequest, pk: int) -> HttpResponse:
    row = _series(request, pk)
    back = (reverse("window-series", args=[row.pk]), row.name)
    today = row.plant.day_of(timezone.now())
    page = AskPage(
        _("End the series"), _("End it"), back, row.plant, row.version, facts=series_facts
    )
    form = EndSeriesForm(posted(request), initial={"last_on": today})

    def save() -> str:
        count = service.end_series(
            series_id=row.pk,
            last_on=form.cleaned_data["last_on"],
            also_with_orders=form.cleaned_data["with_orders"] == "go",
            version=version_seen(request),
            by=access.person_of(request),
            now=timezone.now(),
            seen=seen(request),
        )
        words = ngettext(
            "The series has ended; %(count)d window is called off.",
            "The series has ended; %(count)d windows are called off.",
            count,
        )
        messages.success(request, words % {"count": count})
        return reverse("window-series", args=[row.pk])

    return answer(request, form, page, save)


def series_facts(row: OutageSeries) -> list[tuple[str, str]]:
    ended = row.ended_on.isoformat() if row.ended_on else _("goes on")
    return [(_("Name"), row.name), (_("Comes back"), rule_words(row.rule)), (_("Ends"), ended)]


def _now_at(windows: OutageWindowQuerySet) -> int:
    """The page on which the coming windows begin."""
    return windows.filter(ends_at__lte=timezone.now()).count() // _ROWS + 1


def _series(request: HttpRequest, pk: int) -> OutageSeries:
    rows = OutageSeries.objects.select_related("plant").prefetch_related("conveyors")
    return access.one_visible(rows, request.user, pk=pk)
