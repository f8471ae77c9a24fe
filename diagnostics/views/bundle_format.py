"""What a bundle is made of, told from its schema, and the schema itself."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.bundles import describing, reading, shape
from diagnostics.views.whose_knowledge import whose
from plant.access import needs
from plant.roles import Permission

_EXAMPLE = """\
format: loopwright-knowledge
format_version: 1
written_on: "2026-11-28"
plant: Larkwater Terminal
cautions:
- slug: wind-on-the-gallery
  says: Above the wind limit of the site nobody works on an open gallery.
  source: site's own
"""


@require_safe
@needs(Permission.SEE)
def bundle_format(request: HttpRequest) -> HttpResponse:
    context = {
        "whose": whose(request),
        "parts": describing.parts(),
        "example": _EXAMPLE,
        "most_mb": reading.LARGEST_BYTES // 1_000_000,
        "most_entries": shape.MOST_ENTRIES,
        "most_parts": shape.MOST_PARTS,
        "deepest": reading.DEEPEST_NESTING,
    }
    return render(request, "diagnostics/bundles/format.html", context)


@require_safe
@needs(Permission.SEE)
def bundle_schema(request: HttpRequest) -> HttpResponse:
    response = JsonResponse(shape.SCHEMA, json_dumps_params={"indent": 1})
    response["Content-Type"] = "application/schema+json"
    return response
