"""Limits of condition readings: what holds, what was set when, setting one and taking it back."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from plant import access
from plant.access import needs
from plant.loop.condition import Quantity
from plant.models import Conveyor, Plant
from plant.models.condition_reading import QUANTITY_WORDS
from plant.roles import Permission
from plant.views.keeping import (
    FormPage,
    answer_form,
    answer_question,
    conveyor_or_404,
    posted,
    who,
)
from workorders.lives_forms import LimitForm
from workorders.models import ConditionLimit
from workorders.selectors import limits as selectors
from workorders.services import keeping_limits
from workorders.services.keeping_limits import NewLimit
from workorders.wear_words import limit_words, scope_words


@require_safe
@needs(Permission.SEE)
def limits(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = plant_or_404(request, plant_code)
    conveyor = _conveyor(request, plant)
    holding = [
        {
            "quantity": quantity,
            "words": QUANTITY_WORDS[quantity],
            "limit": limit_words(limit, quantity),
            "scope": scope_words(limit),
        }
        for quantity, limit in selectors.plant_limits(plant)
    ]
    context = {
        "plant": plant,
        "conveyor": conveyor,
        "holding": holding,
        "rows": selectors.set_limits(plant, conveyor),
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
    }
    return render(request, "workorders/lives/limits.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def limit_set(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = plant_or_404(request, plant_code)
    conveyor = _conveyor(request, plant)
    heading = _("Set a limit for %(where)s") % {"where": conveyor.tag if conveyor else plant.name}
    back_to = {"trail": _("Limits")}
    page = FormPage(heading, _("Set it"), _list_of(plant, conveyor), conveyor, more=back_to)
    asked = {name: request.GET.get(name, "")[:40] for name in ("quantity", "component")}
    form = LimitForm(posted(request), initial=asked, conveyor=conveyor)

    def save() -> str:
        keeping_limits.set_limit(
            plant=plant, new=_new(form.cleaned_data, conveyor), by=who(request), now=timezone.now()
        )
        messages.success(request, _("The limit is set. The due list follows shortly."))
        return _list_of(plant, conveyor)

    return answer_form(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_REGISTER)
def limit_take_back(request: HttpRequest, plant_code: str, pk: int) -> HttpResponse:
    plant = plant_or_404(request, plant_code)
    rows = ConditionLimit.objects.counting().select_related("conveyor", "component")
    row = access.one_visible(rows, request.user, plant=plant, pk=pk)
    back = _list_of(plant, row.conveyor)
    says = {
        "says": _("The limit before it counts again. The record stays, marked."),
        "trail": _("Limits"),
    }
    page = FormPage(_("Take back this limit?"), _("Take it back"), back, row.conveyor, more=says)

    def act() -> str:
        keeping_limits.take_back_limit(limit_id=row.pk, by=who(request), now=timezone.now())
        messages.success(request, _("The limit is taken back."))
        return back

    where = row.component or row.conveyor or plant
    facts = [
        (_("Limit"), f"{row.get_quantity_display()}: {row.value or ''}"),
        (_("For"), str(where)),
    ]
    return answer_question(request, page, act, facts)


def plant_or_404(request: HttpRequest, plant_code: str) -> Plant:
    if "\x00" in plant_code:
        raise Http404
    return access.one_visible(Plant.objects.all(), request.user, code=plant_code)


def _conveyor(request: HttpRequest, plant: Plant) -> Conveyor | None:
    tag = request.GET.get("conveyor", "")
    return conveyor_or_404(request, plant.code, tag) if tag else None


def _list_of(plant: Plant, conveyor: Conveyor | None) -> str:
    asked = f"?{urlencode({'conveyor': conveyor.tag})}" if conveyor else ""
    return reverse("limits", args=[plant.code]) + asked


def _new(filled: dict[str, Any], conveyor: Conveyor | None) -> NewLimit:
    pk = filled.get("component")
    component = conveyor.components.get(pk=pk) if conveyor is not None and pk else None
    return NewLimit(
        Quantity(filled["quantity"]), filled["value"], conveyor, component, filled["why"]
    )
