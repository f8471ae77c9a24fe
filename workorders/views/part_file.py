"""A file of parts is sent, looked at, taken in."""

from typing import Any

from django.contrib import messages
from django.core import signing
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.import_words import FILE, in_words
from plant.models import Plant
from plant.register_files.reading import read_sheet
from plant.register_files.refusals import FileRefused
from plant.roles import Permission
from plant.views.keeping import posted, who
from workorders.part_forms import PartFileForm
from workorders.part_sheet import SHEET
from workorders.selectors import parts_in_file
from workorders.selectors.parts_in_file import FileRow
from workorders.services import taking_parts_in

_PAGE = "workorders/catalogue/file.html"
_SALT = "a file of parts"
_A_DAY_S = 86_400
_SHOWN = 60


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def parts_file(request: HttpRequest) -> HttpResponse:
    plants = access.plants_of(request.user)
    form = PartFileForm(posted(request), request.FILES or None, plants=plants)
    if request.method != "POST" or not form.is_valid():
        return render(request, _PAGE, {"form": form}, status=400 if form.is_bound else 200)
    plant = form.cleaned_data["plant"]
    try:
        sent = form.cleaned_data["file"].read()
        parts_in_file.check_size(sent)
        sheet = read_sheet(sent, SHEET, plant.zone_info, most=parts_in_file.MOST_ROWS)
        rows = parts_in_file.compare(plant, sheet)
    except FileRefused as refused:
        reason = refused.reason
        said = in_words(FILE, (reason.code, reason.column, reason.values))
        if reason.code == "no_header_found":
            said = _("No row of the file holds a column called Part number.")
        form.add_error("file", said)
        return render(request, _PAGE, {"form": form}, status=400)
    return _preview(request, form, plant, rows)


@require_POST
@needs(Permission.PLAN_ORDER)
def parts_file_take(request: HttpRequest) -> HttpResponse:
    try:
        said = signing.loads(request.POST.get("rows", ""), salt=_SALT, max_age=_A_DAY_S)
    except signing.BadSignature:
        messages.error(request, _("That page was too old. Send the file again."))
        return redirect("parts-file")
    plant = access.plants_of(request.user).filter(pk=said["plant"]).first()
    if plant is None:
        raise Http404
    try:
        taken = taking_parts_in.take_in(
            plant_id=plant.pk, rows=said["rows"], by=who(request), now=timezone.now()
        )
        messages.success(request, _("Taken in: %(count)d parts.") % {"count": taken})
    except DomainError as refusal:
        form = PartFileForm(plants=access.plants_of(request.user))
        return render(request, _PAGE, {"form": form, "refusal": str(refusal)}, status=409)
    return redirect("parts")


def _preview(
    request: HttpRequest, form: PartFileForm, plant: Plant, rows: list[FileRow]
) -> HttpResponse:
    new, changed = ([r for r in rows if r.is_new], [r for r in rows if r.is_changed])
    refused = [row for row in rows if row.reasons]
    context: dict[str, Any] = {
        "form": form,
        "plant": plant,
        "new": new[:_SHOWN],
        "changed": changed[:_SHOWN],
        "refused": refused[:_SHOWN],
        "counts": {"new": len(new), "changed": len(changed), "refused": len(refused)},
        "same": len(rows) - len(new) - len(changed) - len(refused),
    }
    if not refused and (new or changed):
        context["rows"] = _signed(plant, [*new, *changed])
    return render(request, _PAGE, context, status=400 if refused else 200)


def _signed(plant: Plant, rows: list[FileRow]) -> str:
    """What was looked at, so that nothing else is taken in."""
    said = [
        {
            "number": row.number,
            "version": row.version,
            "values": row.values
            | ({"on_hand": str(row.values["on_hand"])} if "on_hand" in row.values else {}),
        }
        for row in rows
    ]
    return signing.dumps({"plant": plant.pk, "rows": said}, salt=_SALT, compress=True)
