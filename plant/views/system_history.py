"""The history of a connected system's wording, and the way back in it."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import ConnectedSystem
from plant.roles import Permission
from plant.selectors import wording_history
from plant.services import wordings
from plant.system_forms import VersionForm
from plant.views.keeping import posted
from plant.views.system_forms_answered import system_or_404

_ROWS = 20
_BACK = "plant/systems/back.html"


@require_safe
@needs(Permission.ADMINISTER)
def system_history(request: HttpRequest, pk: int) -> HttpResponse:
    row = system_or_404(request, pk)
    changes = row.changes.select_related("by")
    page = Paginator(changes, _ROWS).get_page(request.GET.get("page"))
    context = {
        "system": row,
        "plant": row.plant,
        "page": page,
        "told": wording_history.told(row, list(page.object_list)),
    }
    return render(request, "plant/systems/history.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def system_back(request: HttpRequest, pk: int, place: int) -> HttpResponse:
    """Asks first, showing what it would change."""
    row = system_or_404(request, pk)
    form = VersionForm(posted(request), system=row)
    if request.method == "GET" or not form.is_valid():
        return _ask(request, row, place, form, "", 400 if form.is_bound else 200)
    try:
        wordings.go_back(
            system_id=row.pk,
            to_number=place,
            version=form.cleaned_data["version"],
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        row = system_or_404(request, pk)
        return _ask(request, row, place, VersionForm(system=row), str(refusal), 409)
    messages.success(request, _("It is as it was then. The history holds what it was before."))
    return redirect("system", pk=row.pk)


def _ask(
    request: HttpRequest,
    row: ConnectedSystem,
    place: int,
    form: VersionForm,
    refusal: str,
    status: int,
) -> HttpResponse:
    change = row.changes.select_related("by").filter(number=place).first()
    if change is None:
        raise Http404
    wanted = wording_history.state_at(row, place)
    context = {
        "system": row,
        "plant": row.plant,
        "change": change,
        "form": form,
        "refusal": refusal,
        "entries": wording_history.tell_wanted(row, wordings.standing(row), wanted),
    }
    return render(request, _BACK, context, status=status)
