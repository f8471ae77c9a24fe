"""A round of readings: one place after the other, on a phone along the belt.

The whole round stands in the address, so that a phone that loses its page goes on where it was.
"""

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from plant.access import needs
from plant.condition_forms import RoundForm, StopForm
from plant.errors import DomainError
from plant.loop.condition import Quantity
from plant.loop.set_choice import CannotChoose
from plant.models import Conveyor
from plant.models.condition_reading import QUANTITY_WORDS
from plant.roles import Permission
from plant.roll_words import refused_choice
from plant.selectors import condition_round as selectors
from plant.selectors.condition_round import Stop
from plant.services import reading_condition
from plant.services.reading_condition import NewCondition
from plant.views.condition import list_of, say_what_is_asked
from plant.views.keeping import conveyor_or_404, posted, who


@require_safe
@needs(Permission.TAKE_READING)
def round_begin(request: HttpRequest, plant_code: str, tag: str) -> HttpResponse:
    """What is read on the round, and on how many places."""
    row = conveyor_or_404(request, plant_code, tag)
    form = RoundForm(request.GET if request.GET else None)
    stops: list[Stop] = []
    if form.is_bound and form.is_valid():
        stops = _stops(row, form)
    context = {
        "conveyor": row,
        "plant": row.plant,
        "form": form,
        "stops": stops,
        "asked": request.GET.urlencode(),
        "back": list_of(row),
    }
    status = 400 if form.is_bound and form.errors else 200
    return render(request, "plant/condition/round.html", context, status=status)


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_READING)
def round_stop(request: HttpRequest, plant_code: str, tag: str, stop: int) -> HttpResponse:
    row = conveyor_or_404(request, plant_code, tag)
    asked = RoundForm(request.GET)
    stops = _stops(row, asked) if asked.is_valid() else []
    if not asked.is_valid() or not stops:
        query = f"?{request.GET.urlencode()}" if request.GET else ""
        return redirect(reverse("condition-round", args=[row.plant.code, row.tag]) + query)
    if not 1 <= stop <= len(stops):
        return _end(request, row, len(stops))
    here, quantity = stops[stop - 1], Quantity(asked.cleaned_data["quantity"])
    form = StopForm(posted(request), spots=list(here.spots), conveyor=row, unit=quantity.unit)
    status = 400 if form.errors else 200
    if request.method == "POST" and status == 200:
        try:
            return _kept(request, row, form, here, quantity, stop)
        except DomainError as refusal:
            form.add_error(None, str(refusal))
            status = 409
    context = {
        "conveyor": row,
        "plant": row.plant,
        "form": form,
        "here": here,
        "place": stop,
        "count": len(stops),
        "what": QUANTITY_WORDS[quantity],
        "last": _last(row, quantity, here),
        "on": _address(request, row, stop + 1),
        "before": _address(request, row, stop - 1) if stop > 1 else "",
    }
    return render(request, "plant/condition/stop.html", context, status=status)


def _kept(
    request: HttpRequest, row: Conveyor, form: StopForm, here: Stop, quantity: Quantity, stop: int
) -> HttpResponse:
    now = timezone.now()
    new = [
        NewCondition(
            quantity=quantity,
            value=one.value,
            taken_at=now,
            component_id=here.component.pk,
            set_number=here.set_number,
            spot=one.spot,
            taken_by=str(who(request))[:80],
            note=form.cleaned_data["note"],
        )
        for one in form.typed()
    ]
    kept = reading_condition.keep_conditions(conveyor_id=row.pk, new=new, by=who(request), now=now)
    say_what_is_asked(request, [one for one, _is_new in kept])
    return redirect(_address(request, row, stop + 1, more=len(kept)))


def _stops(row: Conveyor, form: RoundForm) -> list[Stop]:
    """The stops of what was asked; a form that asks for none says so beside its field."""
    quantity = Quantity(form.cleaned_data["quantity"])
    try:
        stops = selectors.stops_of(row, quantity, form.cleaned_data["sets"])
    except CannotChoose as refusal:
        form.add_error("sets", refused_choice(refusal))
        return []
    if not stops:
        form.add_error(None, _("This conveyor has no such component; name idler sets to go past."))
    return stops


def _address(request: HttpRequest, row: Conveyor, stop: int, more: int = 0) -> str:
    names = ("quantity", "sets")
    query = {name: request.GET[name] for name in names if request.GET.get(name)}
    query["kept"] = str(_count(request) + more)
    where = reverse("condition-round-stop", args=[row.plant.code, row.tag, stop])
    return f"{where}?{urlencode(query)}"


def _count(request: HttpRequest) -> int:
    said = request.GET.get("kept", "")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 6 else 0


def _end(request: HttpRequest, row: Conveyor, count: int) -> HttpResponse:
    context = {
        "conveyor": row,
        "plant": row.plant,
        "count": count,
        "kept": _count(request),
        "back": list_of(row),
    }
    return render(request, "plant/condition/round_end.html", context)


def _last(row: Conveyor, quantity: Quantity, here: Stop) -> list[tuple[str, Any]]:
    read = selectors.last_read(row, quantity, here)
    return [(spot, read[spot.casefold()]) for spot in here.spots if spot.casefold() in read]
