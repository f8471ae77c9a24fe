"""When a plant's monthly report is made by itself, and to whom it goes."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Plant
from plant.roles import Permission
from workorders.monthly_report_forms import ScheduleForm
from workorders.selectors import monthly_reports as selectors
from workorders.services.month_reports import scheduling


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def setting(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = access.one_visible(Plant.objects.all(), request.user, code=plant_code)
    initial = ScheduleForm.filled_with(selectors.setting_of(plant))
    if request.method != "POST":
        return _ask(request, plant, ScheduleForm(initial=initial, plant=plant))
    form = ScheduleForm(request.POST, plant=plant)
    if not form.is_valid():
        return _ask(request, plant, form, status=400)
    try:
        scheduling.set_schedule(
            plant=plant,
            wanted=form.wanted(),
            seen=form.cleaned_data["seen"],
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        # Pressing again now means: having seen how it stands.
        again = request.POST.copy()
        again["seen"] = str(initial["seen"])
        form = ScheduleForm(again, plant=plant)
        return _ask(request, plant, form, refusal=str(refusal), status=409)
    messages.success(request, _("Kept."))
    return redirect("monthly-reports-of", plant.code)


def _ask(
    request: HttpRequest, plant: Plant, form: ScheduleForm, *, refusal: str = "", status: int = 200
) -> HttpResponse:
    context = {
        "plant": plant,
        "form": form,
        "refusal": refusal,
        "setting": selectors.setting_of(plant),
    }
    return render(request, "workorders/month_report/setting.html", context, status=status)
