"""Pages of an idler group and of each of its sets."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from plant import access, navigation
from plant.access import needs
from plant.models import Component, Conveyor
from plant.roles import Permission
from plant.selectors import rolls as selectors
from plant.views.keeping import conveyor_or_404


@require_safe
@needs(Permission.SEE)
def idler_group(request: HttpRequest, plant_code: str, tag: str, pk: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    component = idlers_or_404(request, row, pk)
    component.conveyor = row
    page, sets = selectors.sets_of_group(component, request.GET.get("page"))
    context = {
        "conveyor": row,
        "plant": row.plant,
        "component": component,
        "page": page,
        "sets": sets,
        "rolls": selectors.roll_choices(row, component),
        "panels": navigation.panels("component", request, component),
        "may_take": access.may(request.user, Permission.TAKE_READING),
        "may_keep": access.may(request.user, Permission.KEEP_REGISTER),
    }
    return render(request, "plant/rolls/group.html", context)


@require_safe
@needs(Permission.SEE)
def idler_set(
    request: HttpRequest, plant_code: str, tag: str, pk: int, set_number: int
) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    component = idlers_or_404(request, row, pk)
    if not 1 <= set_number <= component.count:
        raise Http404
    sheet = selectors.set_sheet(row, component, set_number, timezone.now())
    context = {
        "conveyor": row,
        "plant": row.plant,
        "component": component,
        "sheet": sheet,
        "changes": [selectors.change_row(row, one) for one in sheet.changes],
        "mine": [c.pk for c in sheet.changes if access.may_correct(request.user, c.kept_by_id)],
        "may_take": access.may(request.user, Permission.TAKE_READING),
    }
    return render(request, "plant/rolls/set.html", context)


@require_safe
@needs(Permission.SEE)
def idler_set_called(request: HttpRequest, plant_code: str, tag: str, name: str) -> HttpResponse:
    """The address on a label: by the name painted on the set, which outlives its row."""
    row = conveyor_or_404(request, plant_code, tag)
    one = selectors.set_called(row, name)
    if one is None:
        raise Http404
    return redirect("idler-set", row.plant.code, row.tag, one.key, one.place)


def idlers_or_404(request: HttpRequest, conveyor: Conveyor, pk: int) -> Component:
    """A group of idlers of this conveyor; anything else has no sets."""
    rows = Component.objects.all()
    component = access.one_visible(rows, request.user, conveyor=conveyor, pk=pk)
    if not component.is_idler:
        raise Http404
    return component
