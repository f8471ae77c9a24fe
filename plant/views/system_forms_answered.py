"""How every form about a connected system is answered."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from plant import access
from plant.models import ConnectedSystem
from plant.services import wordings
from plant.system_forms import EntriesForm, VersionForm


def system_or_404(request: HttpRequest, pk: int) -> ConnectedSystem:
    rows = ConnectedSystem.objects.select_related("plant", "made_by")
    return access.one_visible(rows, request.user, pk=pk)


def answer(
    request: HttpRequest,
    system: ConnectedSystem,
    form: VersionForm,
    template: str,
    save: Callable[[int], Any],
    *,
    then: str = "",
    **context: Any,
) -> HttpResponse:
    """`save` gets the version the form was opened on; `then` is where to go, else the system."""
    shown = {"system": system, "plant": system.plant, "form": form, **context}
    if request.method == "GET":
        return render(request, template, shown)
    if not form.is_valid():
        return render(request, template, shown, status=400)
    try:
        save(form.cleaned_data["version"])
    except wordings.SystemNameTaken as refusal:
        form.add_error("name", str(refusal))
        return render(request, template, shown, status=409)
    except wordings.SystemChangedMeanwhile as refusal:
        _open_on_now(form, system)
        return render(request, template, {**shown, "refusal": str(refusal)}, status=409)
    messages.success(request, _("Kept."))
    return redirect(then) if then else redirect("system", pk=system.pk)


def answer_entries(
    request: HttpRequest,
    system: ConnectedSystem,
    form: EntriesForm,
    template: str,
    **context: Any,
) -> HttpResponse:
    """Kept, it goes on where it was: there is often more to fill in."""

    def save(version: int) -> None:
        wordings.change_entries(
            system_id=system.pk,
            wanted=form.wanted(),
            kind=form.kept_as,
            version=version,
            by=access.person_of(request),
            now=timezone.now(),
        )

    then = request.get_full_path()
    return answer(request, system, form, template, save, then=then, **context)


def _open_on_now(form: VersionForm, system: ConnectedSystem) -> None:
    """What was typed stays, and sent once more it is meant for what stands now."""
    system.refresh_from_db(fields=["version"])
    form.data = {**form.data.dict(), "version": str(system.version)}  # type: ignore[attr-defined]
