"""Sheets of labels: chosen, looked at, printed."""

import logging
from dataclasses import dataclass
from pathlib import Path

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from plant import access, typesetting
from plant.access import needs
from plant.label_forms import ConveyorLabelForm, LabelForm, PlantLabelForm
from plant.labels.layout import sheets_of
from plant.loop.idler_sets import sets_of
from plant.models import Conveyor
from plant.roles import Permission
from plant.selectors import conveyor_list
from plant.selectors import labels as selectors
from plant.selectors.idlers import rows_of
from plant.selectors.labels import Label
from plant.views.keeping import conveyor_or_404

logger = logging.getLogger(__name__)

_SHEET = Path(__file__).parents[1] / "sheets" / "labels.typ"
_FORMATS = {"pdf": "application/pdf", "png": "image/png"}


@dataclass(frozen=True)
class _Asked:
    """A form as filled in and the labels it asks for; none while it is wrong."""

    form: LabelForm
    labels: list[Label]
    conveyor: Conveyor | None = None


@require_safe
@needs(Permission.SEE)
def conveyor_labels(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    return _page(request, _asked_of(request, conveyor_or_404(request, plant_code, tag)))


@require_safe
@needs(Permission.SEE)
def conveyor_label_sheet(
    request: HttpRequest, plant_code: str, tag: str, kind: str
) -> HttpResponse:
    return _sheet(request, _asked_of(request, conveyor_or_404(request, plant_code, tag)), kind)


@require_safe
@needs(Permission.SEE)
def labels(request: HttpRequest) -> HttpResponse:
    return _page(request, _asked_of_all(request))


@require_safe
@needs(Permission.SEE)
def label_sheet(request: HttpRequest, kind: str) -> HttpResponse:
    return _sheet(request, _asked_of_all(request), kind)


def _asked_of(request: HttpRequest, conveyor: Conveyor) -> _Asked:
    parts = list(conveyor.components.all())
    kinds = list(dict.fromkeys(part.kind for part in parts))
    form = ConveyorLabelForm(request.GET, kinds=kinds, sets=sets_of(rows_of(parts)))
    if not form.is_valid():
        return _Asked(form, [], conveyor)
    opens = form.opens_what()
    own = [selectors.of_conveyor(conveyor, opens)] if form.cleaned_data["itself"] else []
    chosen = [part for part in parts if part.kind in form.cleaned_data["kinds"]]
    return _Asked(
        form,
        [
            *own,
            *(selectors.of_component(conveyor, part, opens) for part in chosen),
            *(selectors.of_set(conveyor, one, opens) for one in form.chosen),
        ],
        conveyor,
    )


def _asked_of_all(request: HttpRequest) -> _Asked:
    rows = access.visible(Conveyor.objects.in_service(), request.user)
    form = PlantLabelForm(request.GET, areas=conveyor_list.areas_of(rows))
    if not form.is_valid():
        return _Asked(form, [])
    if form.cleaned_data["area"]:
        rows = rows.filter(area=form.cleaned_data["area"])
    rows = rows.select_related("plant").order_by("plant__name", "tag", "pk")
    opens = form.opens_what()
    return _Asked(form, [selectors.of_conveyor(row, opens) for row in rows])


def _page(request: HttpRequest, asked: _Asked) -> HttpResponse:
    query = request.GET.urlencode()
    count, is_valid = len(asked.labels), asked.form.is_valid()
    context = {
        "form": asked.form,
        "conveyor": asked.conveyor,
        "plant": asked.conveyor.plant if asked.conveyor else None,
        "count": count,
        "sheets": len(sheets_of(count, asked.form.layout())) if is_valid else 0,
        "too_many": _too_many(asked),
        "query": f"?{query}" if query else "",
    }
    return render(request, "plant/labels/choose.html", context, status=200 if is_valid else 400)


def _sheet(request: HttpRequest, asked: _Asked, kind: str) -> HttpResponse:
    """The sheets as PDF, or a picture of the first one."""
    if not asked.form.is_valid() or not asked.labels or (kind == "pdf" and _too_many(asked)):
        return _page(request, asked)
    layout = asked.form.layout()
    shown = asked.labels if kind == "pdf" else asked.labels[: layout.places - layout.skip]
    values = selectors.sheet_values(
        shown,
        layout,
        request.build_absolute_uri,
        has_outlines=asked.form.cleaned_data["outlines"],
    )
    setter = typesetting.pdf_of if kind == "pdf" else typesetting.first_page_png
    try:
        made = setter(_SHEET, values, timezone.now())
    except typesetting.TypesettingFailed:
        logger.exception("A sheet of labels could not be set.")
        return render(request, "plant/labels/failed.html", {"back": request.path}, status=503)
    response = HttpResponse(made, content_type=_FORMATS[kind])
    if kind == "pdf":
        name = f"labels-{asked.conveyor.pk}" if asked.conveyor else "labels"
        response["Content-Disposition"] = f'attachment; filename="{name}.pdf"'
    # It names what only this plant's people may read.
    response["Cache-Control"] = "private, no-store"
    return response


def _too_many(asked: _Asked) -> str:
    if len(asked.labels) <= selectors.MOST_LABELS:
        return ""
    return _("%(count)d labels are too many at once; at most %(most)d. Print them in parts.") % {
        "count": len(asked.labels),
        "most": selectors.MOST_LABELS,
    }
