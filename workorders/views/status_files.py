"""Status files that were picked up: listed, read row by row, their reports taken away."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from plant import access
from plant.access import needs
from plant.models import ExchangeSetting
from plant.roles import Permission
from workorders import status_words
from workorders.models import StatusFile, StatusRow
from workorders.selectors import status_files as selectors
from workorders.services.picking_up import looking, reporting

_FILES, _ROWS = 25, 50


@require_safe
@needs(Permission.ADMINISTER)
def files(request: HttpRequest, pk: int) -> HttpResponse:
    setting = _setting_asked(request, pk)
    page = Paginator(selectors.files_of(setting), _FILES).get_page(request.GET.get("page"))
    context = {"setting": setting, "plant": setting.plant, "page": page}
    return render(request, "workorders/status_files/list.html", context)


@require_safe
@needs(Permission.ADMINISTER)
def one(request: HttpRequest, pk: int) -> HttpResponse:
    file = _asked(request, pk)
    outcome = request.GET.get("outcome", "")
    rows = Paginator(selectors.rows_of(file, outcome), _ROWS).get_page(request.GET.get("page"))
    counts = selectors.counts_of(file)
    context = {
        "file": file,
        "setting": file.setting,
        "plant": file.setting.plant,
        "failure": status_words.file_words(file.refusal, file.values) if file.refusal else "",
        "outcome": outcome,
        "outcomes": [(each, counts.get(each.value, 0)) for each in StatusRow.Outcome],
        "rows_answered": sum(counts.values()),
        "is_silent": selectors.is_silent(selectors.pick_up_of(file.setting), timezone.now()),
        "page": rows,
    }
    return render(request, "workorders/status_files/one.html", context)


@require_safe
@needs(Permission.ADMINISTER)
def report(request: HttpRequest, pk: int) -> HttpResponse:
    """The same as lies beside the file."""
    file = _asked(request, pk)
    content = b"".join(reporting.report_lines(file))
    answer = HttpResponse(content, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="status-file-{file.pk}.report.csv"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_POST
@needs(Permission.ADMINISTER)
def stop(request: HttpRequest, pk: int) -> HttpResponse:
    setting = _setting_asked(request, pk)
    looking.ask_stop(setting_id=setting.pk, now=timezone.now())
    messages.success(request, _("It stops after the row it is at; what was taken stays taken."))
    return redirect("exchange", setting.pk)


def _setting_asked(request: HttpRequest, pk: int) -> ExchangeSetting:
    rows = ExchangeSetting.objects.select_related("plant")
    return access.one_visible(rows, request.user, pk=pk)


def _asked(request: HttpRequest, pk: int) -> StatusFile:
    rows = StatusFile.objects.select_related("setting__plant")
    return access.one_visible(rows, request.user, pk=pk)
