"""The monthly report: asked for, watched, read, made again, taken away."""

from typing import Any, cast

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from plant import access, chart_files
from plant.access import needs
from plant.errors import DomainError
from plant.models import Plant
from plant.roles import Permission
from workorders.models import MonthlyReport
from workorders.month_report_shown import words
from workorders.month_report_shown.view import view_of
from workorders.monthly_report_forms import MonthForm
from workorders.selectors import monthly_reports as selectors
from workorders.services.month_reports import asking

_ROWS = 15


@require_safe
@needs(Permission.SEE)
def monthly_reports(request: HttpRequest) -> HttpResponse:
    plant = access.plants_of(request.user).first()
    if plant is None:
        return render(request, "workorders/month_report/no_plant.html")
    return _list(request, plant)


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Permission.SEE)
def reports_of(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = access.one_visible(Plant.objects.all(), request.user, code=plant_code)
    if request.method != "POST":
        return _list(request, plant)
    access.require(request.user, Permission.PLAN_ORDER)
    return _ask(request, plant)


def _ask(request: HttpRequest, plant: Plant) -> HttpResponse:
    form = MonthForm(request.POST)
    if not form.is_valid():
        return _list(request, plant, form=form, status=400)
    month, by = form.cleaned_data["month"], access.person_of(request)
    try:
        asked = asking.ask(plant=plant, month=month, by=by, now=timezone.now())
    except DomainError as refusal:
        form.add_error("month", str(refusal))
        return _list(request, plant, form=form, status=409)
    return redirect("monthly-report", asked.pk)


@require_safe
@needs(Permission.SEE)
def report(request: HttpRequest, pk: int) -> HttpResponse:
    one = _asked(request, pk)
    told = selectors.told_by(one)
    view = view_of(told) if told else None
    charts = chart_files.with_files(request, view.charts) if view else []
    taken = chart_files.file_asked(request, charts)
    if taken is not None:
        return taken
    context = _around(request, one) | {
        "view": view,
        "charts": charts,
        "newer": selectors.newer_than(one),
        "mails": selectors.mails_of(one),
    }
    return render(request, "workorders/month_report/report.html", context)


@require_safe
@needs(Permission.SEE)
def file(request: HttpRequest, pk: int) -> HttpResponse:
    one = _asked(request, pk)
    if not one.file:
        raise Http404
    try:
        opened = one.file.open("rb")
    except FileNotFoundError:
        raise Http404 from None
    answer = FileResponse(
        opened,
        as_attachment=True,
        filename=words.file_name(one),
        content_type="application/pdf",
    )
    # It holds what only this plant's people may read.
    answer["Cache-Control"] = "private, no-store"
    return cast(HttpResponse, answer)


@require_safe
@needs(Permission.SEE)
def progress(request: HttpRequest, pk: int) -> HttpResponse:
    """The part of the page that moves; once it has ended the whole page is asked for."""
    one = _asked(request, pk)
    response = render(request, "workorders/month_report/_progress.html", _around(request, one))
    if not one.is_owed:
        response["HX-Refresh"] = "true"
    return response


@require_POST
@needs(Permission.PLAN_ORDER)
def stop(request: HttpRequest, pk: int) -> HttpResponse:
    one = _asked(request, pk)
    if one.is_owed:
        asking.ask_stop(report_id=one.pk, now=timezone.now())
        messages.success(request, _("It stops; nothing of it is kept."))
    return redirect("monthly-report", one.pk)


@require_POST
@needs(Permission.PLAN_ORDER)
def again(request: HttpRequest, pk: int) -> HttpResponse:
    one, by = _asked(request, pk), access.person_of(request)
    try:
        made = asking.make_again(report_id=one.pk, by=by, now=timezone.now())
    except DomainError as refusal:
        messages.error(request, str(refusal))
        return redirect("monthly-report", one.pk)
    return redirect("monthly-report", made.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def delete(request: HttpRequest, pk: int) -> HttpResponse:
    one = _asked(request, pk)
    refusal = ""
    if request.method == "POST":
        try:
            asking.delete(report_id=one.pk)
        except DomainError as error:
            refusal = str(error)
        else:
            told = {"month": words.month_words(one.month)}
            messages.success(request, _("The report of %(month)s is deleted.") % told)
            return redirect("monthly-reports-of", one.plant.code)
    context = _around(request, one) | {"refusal": refusal}
    status = 409 if refusal else 200
    return render(request, "workorders/month_report/delete.html", context, status=status)


def _asked(request: HttpRequest, pk: int) -> MonthlyReport:
    rows = MonthlyReport.objects.select_related("plant", "asked_by")
    return access.one_visible(rows, request.user, pk=pk)


def _around(request: HttpRequest, one: MonthlyReport) -> dict[str, Any]:
    return {
        "report": one,
        "plant": one.plant,
        "month": words.month_words(one.month),
        "is_silent": selectors.is_silent(one, timezone.now()),
        "failure": words.FAILURE_WORDS.get(one.refusal, ""),
        "may_ask": access.may(request.user, Permission.PLAN_ORDER),
        "may_keep": access.may(request.user, Permission.KEEP_KNOWLEDGE),
    }


def _list(
    request: HttpRequest, plant: Plant, *, form: MonthForm | None = None, status: int = 200
) -> HttpResponse:
    page = Paginator(selectors.reports_of(plant), _ROWS).get_page(request.GET.get("page"))
    context = {
        "plant": plant,
        "plants": list(access.plants_of(request.user)),
        "form": form or MonthForm.usual(plant, timezone.now()),
        "page": page,
        "rows": selectors.rows_of(page.object_list),
        "setting": selectors.setting_of(plant),
        "may_ask": access.may(request.user, Permission.PLAN_ORDER),
        "may_keep": access.may(request.user, Permission.KEEP_KNOWLEDGE),
    }
    return render(request, "workorders/month_report/list.html", context, status=status)
