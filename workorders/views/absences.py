"""Who of a crew is away."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.roles import Permission
from workorders.crew_forms import AbsenceForm
from workorders.models import CrewAbsence
from workorders.services.outages import absences as service
from workorders.views.asking import AskPage, answer, posted, seen
from workorders.views.crew_keeping import crew_asked


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def crew_away(request: HttpRequest, pk: int) -> HttpResponse:
    row = crew_asked(request, pk)
    back = (reverse("crew", args=[row.pk]), row.name)
    says = _("Work that is placed with the crew stays; what no longer fits is shown first.")
    page = AskPage(_("People are away"), _("Keep"), back, row.plant, says=says)
    with timezone.override(row.plant.zone_info):
        form = AbsenceForm(posted(request))

        def save() -> str:
            service.say_absence(
                crew_id=row.pk,
                wanted=form.wanted(),
                by=access.person_of(request),
                now=timezone.now(),
                seen=seen(request),
            )
            messages.success(request, _("Kept."))
            return reverse("crew", args=[row.pk])

        return answer(request, form, page, save)


@require_POST
@needs(Permission.PLAN_ORDER)
def absence_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    row = _absence(request, pk)
    service.take_back(absence_id=row.pk, now=timezone.now())
    messages.success(request, _("Taken back: they are there."))
    return redirect("crew", row.crew_id)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def absence_put_back(request: HttpRequest, pk: int) -> HttpResponse:
    row = _absence(request, pk)
    back = (reverse("crew", args=[row.crew_id]), row.crew.name)
    page = AskPage(_("They are away after all"), _("Put it back"), back, row.crew.plant)

    def save() -> str:
        service.put_back(absence_id=row.pk, now=timezone.now(), seen=seen(request))
        messages.success(request, _("Put back: they are away."))
        return reverse("crew", args=[row.crew_id])

    return answer(request, forms.Form(posted(request)), page, save)


def _absence(request: HttpRequest, pk: int) -> CrewAbsence:
    return access.one_visible(
        CrewAbsence.objects.select_related("crew__plant"), request.user, pk=pk
    )
