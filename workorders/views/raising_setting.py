"""When the site proposes work by itself: each plant's setting, seen by all, set by the lead."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Plant
from plant.roles import Permission
from workorders.raising_forms import RaisingForm
from workorders.selectors import raising_settings
from workorders.services import setting_raising

_SHOWN = 20


@require_safe
@needs(Permission.SEE)
def raising_by_itself(request: HttpRequest) -> HttpResponse:
    plants = list(access.plants_of(request.user))
    so_far = raising_settings.raised_so_far(plants)
    context = {
        "rows": [
            (plant, row, so_far.get(plant.pk))
            for plant, row in raising_settings.settings_by_plant(plants)
        ],
        "may_set": access.may(request.user, Permission.KEEP_KNOWLEDGE),
    }
    return render(request, "workorders/raising/by_plant.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def raising_set(request: HttpRequest, code: str) -> HttpResponse:
    plant = access.one_visible(Plant.objects.all(), request.user, code=code)
    initial = RaisingForm.filled_with(raising_settings.setting_of(plant.pk))
    if request.method != "POST":
        return _ask(request, plant, RaisingForm(initial=initial))
    form = RaisingForm(request.POST, initial=initial)
    if not form.is_valid():
        return _ask(request, plant, form, status=400)
    try:
        setting_raising.set_raising(
            plant_id=plant.pk,
            point=form.point(),
            seen=form.cleaned_data["seen"],
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        # Pressing again now means: having seen how it stands.
        form = RaisingForm({**request.POST.dict(), "seen": initial["seen"]})
        return _ask(request, plant, form, refusal=str(refusal), status=409)
    messages.success(request, _("Kept. It goes for the next diagnoses."))
    return redirect("raising-by-itself")


def _ask(
    request: HttpRequest, plant: Plant, form: RaisingForm, *, refusal: str = "", status: int = 200
) -> HttpResponse:
    context = {
        "plant": plant,
        "form": form,
        "refusal": refusal,
        "history": raising_settings.history_of(plant, _SHOWN),
    }
    return render(request, "workorders/raising/set.html", context, status=status)
