"""The conveyors of a person's plants: the list and the sheet of each."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from plant import access, drawing_layers, navigation
from plant.access import needs
from plant.models import Conveyor
from plant.register_forms import ConveyorFilter
from plant.roles import Permission
from plant.selectors import conveyor_list, finding_conveyors
from plant.selectors.conveyor_sheet import conveyor_sheet
from plant.views.keeping import conveyor_or_404, sheet_of
from plant.words import KIND_WORDS

_ROWS = 25


@require_safe
@needs(Permission.SEE)
def conveyors(request: HttpRequest) -> HttpResponse:
    rows = access.visible(Conveyor.objects.all(), request.user)
    plants = access.plants_of(request.user)
    form = ConveyorFilter(request.GET, plants=list(plants), areas=conveyor_list.areas_of(rows))
    asked = form.cleaned_data if form.is_valid() else {}
    wanted = conveyor_list.ConveyorsWanted(
        words=finding_conveyors.tidy_words(asked.get("q", "")),
        plant=asked.get("plant", ""),
        area=asked.get("area", ""),
        also_retired=asked.get("retired", False),
    )
    found = conveyor_list.conveyors_wanted(rows, plants, wanted)
    context = {
        "form": form,
        "page": conveyor_list.page_of_rows(found, request.GET.get("page"), _ROWS),
        "is_filtered": wanted != conveyor_list.ConveyorsWanted(),
        "several_plants": len(plants) > 1,
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
    }
    return render(request, "plant/register/conveyors.html", context)


@require_safe
@needs(Permission.SEE)
def conveyor(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    if row.tag != tag:
        # One address for one conveyor: links and the browser's history then agree.
        return redirect(sheet_of(row))
    now = timezone.now()
    layer = drawing_layers.layers_of(request, row, now)
    # Words that are no kinds ask for nothing; the table then holds every component.
    kinds = [kind for kind in KIND_WORDS if kind.value in request.GET.getlist("kind")]
    context = {
        "conveyor": row,
        "plant": row.plant,
        "sheet": conveyor_sheet(row, request.GET.get("parts"), layer, now, kinds),
        "kinds": [KIND_WORDS[kind] for kind in kinds],
        "panels": navigation.panels("conveyor", request, row),
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
        "may_complain": access.may(request.user, Permission.TAKE_COMPLAINT),
    }
    return render(request, "plant/register/conveyor.html", context)
