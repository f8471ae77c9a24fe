"""A file of asset tags is sent, looked at, taken in."""

from typing import Any

from django import forms
from django.contrib import messages
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.import_words import FILE, in_words
from plant.models import ConnectedSystem, WordingChange
from plant.register_files.packages import unpacked_bytes
from plant.register_files.reading import read_sheet
from plant.register_files.refusals import FileRefused
from plant.roles import Permission
from plant.selectors import tags_in_file
from plant.selectors.tags_in_file import FileTag
from plant.services import wordings
from plant.views.keeping import posted
from plant.views.system_forms_answered import system_or_404
from plant.wording_entries import Entry, Value

_PAGE = "plant/systems/tag_file.html"
_SALT = "a file of asset tags"
_A_DAY_S = 86_400
_SHOWN = 60
_LARGEST_UNPACKED_BYTES = 40_000_000


class TagFileForm(forms.Form):
    file = forms.FileField(
        label=gettext_lazy("File"),
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ".xlsx,.csv,.tsv,.txt"}),
    )


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def system_tag_file(request: HttpRequest, pk: int) -> HttpResponse:
    system = system_or_404(request, pk)
    form = TagFileForm(posted(request), request.FILES or None)
    shown = {"system": system, "plant": system.plant, "form": form}
    if request.method == "GET" or not form.is_valid():
        return render(request, _PAGE, shown, status=400 if form.is_bound else 200)
    try:
        rows = _read(system, form.cleaned_data["file"])
    except FileRefused as refused:
        reason = refused.reason
        said = in_words(FILE, (reason.code, reason.column, reason.values))
        if reason.code == "no_header_found":
            said = _("No row of the file holds the columns Conveyor and Asset tag.")
        form.add_error("file", said)
        return render(request, _PAGE, shown, status=400)
    refused_rows = any(row.reasons for row in rows)
    status = 400 if refused_rows else 200
    return render(request, _PAGE, {**shown, **_preview(system, rows)}, status=status)


@require_POST
@needs(Permission.ADMINISTER)
def system_tag_file_take(request: HttpRequest, pk: int) -> HttpResponse:
    system = system_or_404(request, pk)
    try:
        said = signing.loads(request.POST.get("rows", ""), salt=_SALT, max_age=_A_DAY_S)
    except signing.BadSignature:
        said = {}
    if said.get("system") != system.pk:
        messages.error(request, _("That page was too old. Send the file again."))
        return redirect("system-tag-file", pk=system.pk)
    wanted = {Entry(*one): Value(*value) if value else None for one, value in said["rows"]}
    try:
        taken = wordings.change_entries(
            system_id=system.pk,
            wanted=wanted,
            kind=WordingChange.Kind.TAG_FILE,
            version=said["version"],
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        shown = {"system": system, "plant": system.plant, "form": TagFileForm()}
        return render(request, _PAGE, {**shown, "refusal": str(refusal)}, status=409)
    messages.success(request, _("Taken in: %(count)d asset tags.") % {"count": taken})
    return redirect("system-tags", pk=system.pk)


def _read(system: ConnectedSystem, file: Any) -> list[FileTag]:
    """Refuses with FileRefused."""
    if file.size > tags_in_file.MOST_BYTES:
        raise FileRefused("file_too_large", most=tags_in_file.MOST_BYTES // 1_000_000)
    content = file.read()
    if unpacked_bytes(content) > _LARGEST_UNPACKED_BYTES:
        raise FileRefused("unpacks_too_large", most=_LARGEST_UNPACKED_BYTES // 1_000_000)
    zone = system.plant.zone_info
    sheet = read_sheet(content, tags_in_file.SHEET, zone, most=tags_in_file.MOST_ROWS)
    return tags_in_file.compare(system, sheet)


def _preview(system: ConnectedSystem, rows: list[FileTag]) -> dict[str, Any]:
    changed = [row for row in rows if row.is_change]
    refused = [row for row in rows if row.reasons]
    shown: dict[str, Any] = {
        "is_read": True,
        "changed": changed[:_SHOWN],
        "refused": refused[:_SHOWN],
        "counts": {"changed": len(changed), "refused": len(refused)},
        "same": len(rows) - len(changed) - len(refused),
    }
    if changed and not refused:
        # What was looked at, so that nothing else is taken in.
        said = [(row.entry, row.value) for row in changed]
        told = {"system": system.pk, "version": system.version, "rows": said}
        shown["rows"] = signing.dumps(told, salt=_SALT, compress=True)
    return shown
