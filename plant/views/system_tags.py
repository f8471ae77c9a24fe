"""Asset tags of a connected system: by conveyor, by component, all as a file."""

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from plant import access
from plant.access import needs
from plant.exports import csv_response
from plant.models import Conveyor
from plant.roles import Permission
from plant.selectors import asset_tags
from plant.selectors.tags_in_file import SHEET
from plant.views.keeping import posted
from plant.views.system_forms_answered import answer_entries, system_or_404
from plant.wording_forms import Place, TagsForm


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def system_tags(request: HttpRequest, pk: int) -> HttpResponse:
    row = system_or_404(request, pk)
    asked = request.GET.get("q", "").replace("\x00", "").strip()[:80]
    page = asset_tags.page_of_conveyors(row, request.GET.get("page"), asked)
    conveyors = list(page.object_list)
    tags = asset_tags.tags_of(row, conveyors)
    places = [
        (Place(one.pk, "", f"{one.tag}, {one.name}"), tags.get(one.pk, "")) for one in conveyors
    ]
    form = TagsForm(posted(request), system=row, places=places)
    inside = asset_tags.components_tagged(row, conveyors)
    lines = [
        (conveyor, field, inside.get(conveyor.pk, 0))
        for conveyor, (_place, field) in zip(conveyors, form.lines(), strict=True)
    ]
    template = "plant/systems/tags.html"
    return answer_entries(request, row, form, template, page=page, lines=lines, asked=asked)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def system_tags_of(request: HttpRequest, pk: int, tag: str) -> HttpResponse:
    row = system_or_404(request, pk)
    rows = Conveyor.objects.filter(plant=row.plant)
    conveyor = access.one_visible(rows, request.user, tag__iexact=tag)
    own = asset_tags.tags_of(row, [conveyor]).get(conveyor.pk, "")
    places = [(Place(conveyor.pk, "", _("the conveyor itself")), own)]
    places += [
        (Place(conveyor.pk, name, name), theirs)
        for name, theirs in asset_tags.places_on(row, conveyor)
    ]
    form = TagsForm(posted(request), system=row, places=places)
    return answer_entries(request, row, form, "plant/systems/tags_of.html", conveyor=conveyor)


@require_safe
@needs(Permission.ADMINISTER)
def system_tags_csv(request: HttpRequest, pk: int) -> HttpResponse:
    row = system_or_404(request, pk)
    header = [column.header for column in SHEET.columns]
    return csv_response("asset-tags", header, asset_tags.all_tags(row))
