"""Belts of a plant ranked by their recurring faults, and how fresh the reckoning behind them is."""

from dataclasses import dataclass
from functools import partial
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from diagnostics import offender_pages, offender_rows, step_words
from diagnostics.fault_columns import COLUMNS
from diagnostics.models import FaultReckoning
from diagnostics.offender_forms import BY_WORDS, OffenderForm
from diagnostics.selectors import offenders as selectors
from diagnostics.selectors import shelf
from diagnostics.selectors.offenders import Wanted
from diagnostics.services import fault_reckoning
from plant import access, exports
from plant.access import needs
from plant.models import Conveyor, Plant
from plant.roles import Permission
from plant.selectors.conveyor_list import areas_of

_ROWS = 20
_RECKONS = Permission.KEEP_REGISTER


@dataclass(frozen=True)
class _Asked:
    """A plant of the person, what of it is wanted, and the reckoning that answers it."""

    plants: list[Plant]
    plant: Plant
    form: OffenderForm
    wanted: Wanted
    reckoning: FaultReckoning

    @property
    def query(self) -> str:
        said = {name: value for name, value in self.form.data.items() if value}
        query = QueryDict(mutable=True)
        query.update({**said, "by": self.wanted.by.value})
        return query.urlencode()


@require_safe
@needs(Permission.SEE)
def offenders(request: HttpRequest) -> HttpResponse:
    asked = _asked(request)
    if asked is None:
        return render(request, "diagnostics/offenders/page.html", {"plant": None})
    context = _around(request, asked.reckoning, asked.query) | _choice(asked)
    if asked.reckoning.reckoned_at is not None:
        context |= _list(request, asked)
    status = 200 if asked.form.is_valid() else 400
    return render(request, "diagnostics/offenders/page.html", context, status=status)


@require_safe
@needs(Permission.SEE)
def offenders_file(request: HttpRequest) -> HttpResponse:
    asked = _asked(request)
    if asked is None or asked.reckoning.reckoned_at is None:
        return redirect("repeat-offenders")
    belts = selectors.every_belt(asked.reckoning, asked.wanted)
    library = shelf.shown_library_of(asked.plant.pk)
    header, *rows = offender_pages.file_rows(belts, library)
    return exports.csv_response(f"repeat-offenders-{asked.plant.code}", header, rows)


@require_safe
@needs(Permission.SEE)
def reckoning_progress(request: HttpRequest, pk: int) -> HttpResponse:
    """The part of the page that moves; once it is done the whole page is asked for."""
    one = _reckoning(request, pk)
    context = _around(request, one, _own_query(request.GET.urlencode()))
    response = render(request, "diagnostics/offenders/progress.html", context)
    if one.owed_at is None:
        response["HX-Refresh"] = "true"
    return response


@require_POST
@needs(_RECKONS)
def reckon_again(request: HttpRequest, pk: int) -> HttpResponse:
    one = _reckoning(request, pk)
    fault_reckoning.ask_again(reckoning_id=one.pk, now=timezone.now())
    return _back(request)


@require_POST
@needs(_RECKONS)
def reckoning_stop(request: HttpRequest, pk: int) -> HttpResponse:
    one = _reckoning(request, pk)
    fault_reckoning.ask_stop(reckoning_id=one.pk, now=timezone.now())
    messages.success(request, _("It stops; what was reckoned before stands."))
    return _back(request)


def _reckoning(request: HttpRequest, pk: int) -> FaultReckoning:
    rows = FaultReckoning.objects.select_related("plant")
    return access.one_visible(rows, request.user, pk=pk)


def _back(request: HttpRequest) -> HttpResponse:
    return redirect(f"{reverse('repeat-offenders')}?{_own_query(request.POST.get('back', ''))}")


def _own_query(text: str) -> str:
    """Read and written as a query of our own page, it can lead nowhere else."""
    return QueryDict(text[:1000]).urlencode()


def _asked(request: HttpRequest) -> _Asked | None:
    """None for a person without a plant."""
    plants = list(access.plants_of(request.user))
    if not plants:
        return None
    code = request.GET.get("plant", "")
    plant = next((one for one in plants if one.code == code), plants[0])
    form = OffenderForm(
        request.GET.dict(),
        plants=plants,
        plant=plant,
        areas=areas_of(Conveyor.objects.filter(plant=plant)),
    )
    wanted, now = form.wanted(), timezone.now()
    reckoning = fault_reckoning.look(plant, selectors.choice_of(plant, wanted, now), now)
    return _Asked(plants, plant, form, wanted, reckoning)


def _around(request: HttpRequest, one: FaultReckoning, query: str) -> dict[str, Any]:
    address = f"{reverse('repeat-offenders')}?{query}"
    return {
        "reckoning": one,
        "plant": one.plant,
        "standing": offender_pages.standing_of(
            one, address, timezone.now(), is_chosen=bool(QueryDict(query).get("per"))
        ),
        "may_reckon": access.may(request.user, _RECKONS),
        "query": query,
    }


def _choice(asked: _Asked) -> dict[str, Any]:
    said, wanted = asked.form.data, asked.wanted
    kept = [(name, said[name]) for name in ("plant", "area", "family", "per") if said.get(name)]
    return {
        "form": asked.form,
        "wanted": wanted,
        "kept": [*kept, ("by", wanted.by.value)],
        "orders": [
            {"value": by.value, "words": words, "is_here": by is wanted.by}
            for by, words in BY_WORDS.items()
        ],
        "columns": COLUMNS,
        "practice": step_words.PRACTICE,
        "is_narrowed": bool(wanted.area or wanted.family),
    }


def _list(request: HttpRequest, asked: _Asked) -> dict[str, Any]:
    belts = selectors.ranked(asked.reckoning, asked.wanted)
    page = Paginator(belts, _ROWS).get_page(request.GET.get("page"))
    rows = offender_rows.rows_of(
        list(page.object_list),
        asked.reckoning,
        shelf.shown_library_of(asked.plant.pk),
        partial(access.may, request.user),
        first=page.start_index(),
    )
    everything = selectors.every_belt(asked.reckoning, asked.wanted).count()
    return {"page": page, "rows": rows, "quiet": everything - page.paginator.count}
