"""Connected systems: seen, added, set and removed by administrators of their plant."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from plant import access, wording_shelf
from plant.access import needs
from plant.errors import DomainError
from plant.models import ConnectedSystem
from plant.roles import Permission
from plant.selectors import wording_checks
from plant.services import wordings
from plant.system_forms import NewSystemForm, SettingsForm, VersionForm
from plant.views.keeping import posted
from plant.views.system_forms_answered import answer, system_or_404
from plant.wording.refusals import TAGS
from plant.wording_gap_words import told_of
from plant.wording_words import part_words

_ROWS = 25


@require_safe
@needs(Permission.ADMINISTER)
def systems(request: HttpRequest) -> HttpResponse:
    rows = access.visible(ConnectedSystem.objects.select_related("plant"), request.user)
    counted = rows.annotate(
        working_keys=Count("keys", filter=Q(keys__revoked=False), distinct=True),
        words=Count("entries", distinct=True),
    )
    ordered = counted.order_by("plant__code", "name")
    page = Paginator(ordered, _ROWS).get_page(request.GET.get("page"))
    return render(request, "plant/systems/list.html", {"page": page})


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def system_new(request: HttpRequest) -> HttpResponse:
    form = NewSystemForm(posted(request), plants=access.plants_of(request.user))
    if request.method == "GET" or not form.is_valid():
        status = 400 if form.is_bound else 200
        return render(request, "plant/systems/new.html", {"form": form}, status=status)
    try:
        system = wordings.make_system(
            **form.cleaned_data, by=access.person_of(request), now=timezone.now()
        )
    except wordings.SystemNameTaken as refusal:
        form.add_error("name", str(refusal))
        return render(request, "plant/systems/new.html", {"form": form}, status=409)
    messages.success(request, _("The system is added. Fill in its words, then switch it on."))
    return redirect("system", pk=system.pk)


@require_safe
@needs(Permission.ADMINISTER)
def system(request: HttpRequest, pk: int) -> HttpResponse:
    row = system_or_404(request, pk)
    checked = wording_checks.checked(row, timezone.now())
    latest = row.changes.select_related("by").first()
    context: dict[str, Any] = {
        "system": row,
        "plant": row.plant,
        "checked": checked,
        "tags_part": TAGS,
        "gaps": told_of(checked.vocabularies, checked.twice),
        "met_in": [(met, part_words(met.part)) for met in checked.met_in],
        "keys": row.keys.filter(revoked=False),
        "kinds": [one for one in wording_shelf.kinds() if one.fields()],
        "latest": latest,
        "before_latest": latest.number - 1 if latest else 0,
    }
    return render(request, "plant/systems/system.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def system_settings(request: HttpRequest, pk: int) -> HttpResponse:
    row = system_or_404(request, pk)
    form = SettingsForm(posted(request), system=row)

    def save(version: int) -> None:
        wordings.change_settings(
            system_id=row.pk,
            settings=form.settings(),
            version=version,
            by=access.person_of(request),
            now=timezone.now(),
        )

    return answer(request, row, form, "plant/systems/settings.html", save)


@require_http_methods(["GET", "POST"])
@needs(Permission.ADMINISTER)
def system_remove(request: HttpRequest, pk: int) -> HttpResponse:
    row = system_or_404(request, pk)
    form = VersionForm(posted(request), system=row)
    if request.method == "GET" or not form.is_valid():
        return _ask_removal(request, row, form, "", 400 if form.is_bound else 200)
    try:
        wordings.remove_system(
            system_id=row.pk,
            version=form.cleaned_data["version"],
            by=access.person_of(request),
        )
    except DomainError as refusal:
        return _ask_removal(request, row, VersionForm(system=row), str(refusal), 409)
    messages.success(request, _("%(name)s is removed.") % {"name": row.name})
    return redirect("systems")


def _ask_removal(
    request: HttpRequest, row: ConnectedSystem, form: VersionForm, refusal: str, status: int
) -> HttpResponse:
    context = {"system": row, "form": form, "refusal": refusal}
    context["words"] = row.entries.count()
    return render(request, "plant/systems/remove.html", context, status=status)
