"""Words and fields of a connected system, and what leaves with them."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_safe

from plant import wording_shelf
from plant.access import needs
from plant.roles import Permission
from plant.selectors import wording_preview
from plant.selectors.wordings import drafted_wording
from plant.views.keeping import posted
from plant.views.system_forms_answered import answer_entries, system_or_404
from plant.wording.checking import gaps_in_words
from plant.wording_field_forms import FieldsForm
from plant.wording_forms import WordsForm
from plant.wording_gap_words import gap_words


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def system_words(request: HttpRequest, pk: int, vocabulary: str) -> HttpResponse:
    row = system_or_404(request, pk)
    asked = wording_shelf.vocabulary(vocabulary)
    if asked is None:
        raise Http404
    words = drafted_wording(row).words.get(asked.name)
    form = WordsForm(posted(request), system=row, vocabulary=asked, words=words)
    gaps = [gap_words(gap) for gap in gaps_in_words(words)] if words else []
    template = "plant/systems/words.html"
    return answer_entries(request, row, form, template, vocabulary=asked, gaps=gaps)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def system_fields(request: HttpRequest, pk: int, record_kind: str) -> HttpResponse:
    row = system_or_404(request, pk)
    kind = wording_shelf.kind(record_kind)
    if kind is None or not kind.fields():
        raise Http404
    fields = drafted_wording(row).fields.get(kind.name)
    form = FieldsForm(posted(request), system=row, kind=kind, fields=fields)
    return answer_entries(request, row, form, "plant/systems/fields.html", record_kind=kind)


@require_safe
@needs(Permission.ADMINISTER)
def system_preview(request: HttpRequest, pk: int) -> HttpResponse:
    row = system_or_404(request, pk)
    shown = [kind for kind in wording_shelf.kinds() if kind.newest is not None]
    asked = request.GET.get("of", "")
    kind = next((one for one in shown if one.name == asked), shown[0])
    context = {
        "system": row,
        "plant": row.plant,
        "kinds": shown,
        "record_kind": kind,
        "previews": wording_preview.previews(row, kind),
    }
    return render(request, "plant/systems/preview.html", context)
