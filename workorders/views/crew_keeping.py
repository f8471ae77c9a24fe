"""A crew added, changed, given another week, retired and brought back."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST

from diagnostics.knowledge_schema import SKILLS
from plant import access
from plant.access import needs
from plant.roles import Permission
from workorders.crew_forms import CrewForm, ShiftsForm, shift_text
from workorders.models import Crew
from workorders.services.outages import crews as service
from workorders.views.asking import AskPage, answer, plant_asked, posted, seen, version_seen


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def crew_new(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = plant_asked(request, plant_code)
    back = (reverse("crews-of", args=[plant.code]), _("Crews"))
    page = AskPage(_("A new crew"), _("Add it"), back, plant)
    form = CrewForm(posted(request))

    def save() -> str:
        made = service.add_crew(plant=plant, wanted=form.wanted(), by=access.person_of(request))
        messages.success(request, _("The crew is added. Now its week."))
        return reverse("crew-shifts", args=[made.pk])

    return answer(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def crew_edit(request: HttpRequest, pk: int) -> HttpResponse:
    row = crew_asked(request, pk)
    initial = {
        "name": row.name,
        "people": row.people,
        "skills": [one for one in row.skills if one in SKILLS],
        "own_skills": ", ".join(one for one in row.skills if one not in SKILLS),
        "overtime_minutes": row.overtime_minutes,
    }
    form = CrewForm(posted(request), initial=initial)

    def save() -> str:
        service.change_crew(wanted=form.wanted(), **_asked(request, row))
        messages.success(request, _("Kept."))
        return _address(row)

    return answer(request, form, _page(row, _("Change the crew"), _("Keep")), save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def crew_shifts(request: HttpRequest, pk: int) -> HttpResponse:
    row = crew_asked(request, pk)
    by_day: dict[str, list[str]] = {}
    for shift in row.shifts.all():
        text = shift_text(shift.begins_at, shift.ends_at)
        by_day.setdefault(f"day_{shift.weekday}", []).append(text)
    form = ShiftsForm(
        posted(request), initial={day: ", ".join(said) for day, said in by_day.items()}
    )

    def save() -> str:
        service.set_shifts(shifts=form.shifts(), **_asked(request, row))
        messages.success(request, _("The week is kept."))
        return _address(row)

    page = _page(row, _("The week of %(crew)s") % {"crew": row.name}, _("Keep the week"))
    return answer(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def crew_retire(request: HttpRequest, pk: int) -> HttpResponse:
    row = crew_asked(request, pk)
    today = row.plant.day_of(timezone.now())

    def save() -> str:
        service.retire_crew(on=today, **_asked(request, row))
        messages.success(request, _("The crew is retired."))
        return _address(row)

    says = _("No work is planned for it any more. It can be brought back.")
    page = _page(row, _("Retire the crew"), _("Retire it"), says)
    return answer(request, forms.Form(posted(request)), page, save)


@require_POST
@needs(Permission.PLAN_ORDER)
def crew_bring_back(request: HttpRequest, pk: int) -> HttpResponse:
    row = crew_asked(request, pk)
    service.bring_back(crew_id=row.pk, by=access.person_of(request))
    messages.success(request, _("The crew is back."))
    return redirect(_address(row))


def crew_asked(request: HttpRequest, pk: int) -> Crew:
    rows = Crew.objects.select_related("plant").prefetch_related("shifts")
    return access.one_visible(rows, request.user, pk=pk)


def _asked(request: HttpRequest, row: Crew) -> dict[str, Any]:
    return {
        "crew_id": row.pk,
        "version": version_seen(request),
        "by": access.person_of(request),
        "now": timezone.now(),
        "seen": seen(request),
    }


def _page(row: Crew, heading: str, button: str, says: str = "") -> AskPage:
    back = (_address(row), row.name)
    return AskPage(heading, button, back, row.plant, row.version, says, facts=_facts)


def _facts(row: Crew) -> list[tuple[str, str]]:
    people = ngettext("%(count)d person", "%(count)d people", row.people) % {"count": row.people}
    return [
        (_("Name"), row.name),
        (_("People"), people),
        (_("What it can do"), ", ".join(row.skills) or "—"),
        (_("Its week"), ", ".join(map(str, row.shifts.all())) or "—"),
    ]


def _address(row: Crew) -> str:
    return reverse("crew", args=[row.pk])
