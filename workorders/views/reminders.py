"""What a person wants to be reminded of by mail."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from plant import access
from plant.access import needs
from plant.models import Plant
from plant.roles import Permission
from workorders.hand_over_forms import ReminderForm
from workorders.services import reminding


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def reminders(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = access.one_visible(Plant.objects.all(), request.user, code=plant_code)
    person = access.person_of(request)
    if request.method == "GET":
        return _ask(request, plant, ReminderForm.of(reminding.wish_of(person, plant)))
    form = ReminderForm(request.POST)
    if not form.is_valid():
        return _ask(request, plant, form, status=400)
    reminding.wish(user=person, plant=plant, kinds=form.wanted(), at=form.cleaned_data["at"])
    messages.success(request, _("Kept."))
    return redirect("hand-over-of", plant.code)


def _ask(
    request: HttpRequest, plant: Plant, form: ReminderForm, *, status: int = 200
) -> HttpResponse:
    context = {"plant": plant, "form": form, "has_mail": bool(access.person_of(request).email)}
    return render(request, "workorders/hand_over/reminders.html", context, status=status)
