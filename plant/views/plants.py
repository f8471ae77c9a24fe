"""Plants, for administrators: seen, added, changed."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Plant
from plant.people_forms import PlantForm, zone_names
from plant.roles import Permission
from plant.services import plants as service

_ROWS = 25


@require_safe
@needs(Permission.ADMINISTER)
def plants(request: HttpRequest) -> HttpResponse:
    rows = access.visible(Plant.objects.order_by("name"), request.user).annotate(
        conveyor_count=Count("conveyors", distinct=True),
        people_count=Count("people", filter=Q(people__is_active=True), distinct=True),
    )
    page = Paginator(rows, _ROWS).get_page(request.GET.get("page"))
    return render(request, "plant/plants/list.html", {"page": page})


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def plant_new(request: HttpRequest) -> HttpResponse:
    form = PlantForm(request.POST or None)
    if request.method == "GET":
        return _form_page(request, form)
    if not form.is_valid():
        return _form_page(request, form, status=400)
    try:
        added = service.add_plant(plant=form.instance, by=access.person_of(request))
    except DomainError as refusal:
        form.add_error("code", str(refusal))
        return _form_page(request, form, status=409)
    messages.success(request, _("%(plant)s is added. Now its people.") % {"plant": added})
    return redirect("plants")


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def plant(request: HttpRequest, code: str) -> HttpResponse:
    row = access.one_visible(Plant.objects.all(), request.user, code=code)
    form = PlantForm(request.POST or None, instance=row)
    if request.method == "GET":
        return _form_page(request, form)
    if not form.is_valid():
        return _form_page(request, form, status=400)
    try:
        service.change_plant(plant=form.instance, by=access.person_of(request))
    except DomainError as refusal:
        form.add_error("name", str(refusal))
        return _form_page(request, form, status=409)
    messages.success(request, _("%(plant)s is changed.") % {"plant": row})
    return redirect("plants")


def _form_page(request: HttpRequest, form: PlantForm, status: int = 200) -> HttpResponse:
    context = {"form": form, "zones": zone_names()}
    return render(request, "plant/plants/form.html", context, status=status)
