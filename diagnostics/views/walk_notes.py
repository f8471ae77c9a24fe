"""A note left where somebody stands on a walk-down."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from diagnostics.note_forms import StationNoteForm
from diagnostics.selectors import field_notes as selectors
from diagnostics.services import field_notes as service
from diagnostics.services.field_notes import Subject
from diagnostics.templatetags.catalogue import cause_name
from diagnostics.views.walking import walk_down_asked
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission


@require_POST
@needs(Permission.WALK_DOWN)
def walk_down_note(request: HttpRequest, pk: int) -> HttpResponse:
    """Back to the station it was written at, kept or with what is wrong with it."""
    row = walk_down_asked(request, pk)
    conveyor = row.case.conveyor
    causes = selectors.suspected_causes(row.case)
    named = [(slug, cause_name(slug, conveyor.plant)) for slug in causes]
    form = StationNoteForm(request.POST, request.FILES, causes=named)
    back = redirect(f"{reverse('walk-down', args=[row.pk])}?{_station(request)}#notes")
    if not form.is_valid():
        wrong = form.errors.get("text") or form.errors.get("photos")
        said = (
            " ".join(map(str, wrong)) if wrong else _("The note is not kept. Open the page again.")
        )
        messages.error(request, said)
        return back
    filled = form.cleaned_data
    component, position_m = selectors.where_named(conveyor, filled["station"])
    about = Subject(
        filled["cause"],
        conveyor,
        component,
        filled["station"],
        position_m if component else filled["position"],
    )
    try:
        service.write_note(
            plant=conveyor.plant,
            about=about,
            new=form.new_note(),
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, _("The note is kept. The next one here reads it."))
    return back


def _station(request: HttpRequest) -> str:
    """Away from any station the place is told by its position."""
    for name in ("position", "station"):
        said = request.POST.get(name, "")[:48].replace("\x00", "")
        if said:
            return urlencode({name: said})
    return ""
