"""What diagnosis lays over the drawing of a conveyor's loop: open cases, and what was seen last."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext as _

from diagnostics.models import Case, Diagnosis, Sighting
from diagnostics.selectors import loop_ribbon
from plant import access
from plant.drawing_layers import Layer
from plant.loop.drawing.shapes import Mark, MarkKind
from plant.models import Conveyor
from plant.templatetags.sheet import plant_date

# Older looks say little of how the belt runs now; engineering judgement.
_LATELY = timedelta(days=30)
_CASES, _LOOKS = 12, 2000


def on_drawing(request: HttpRequest, conveyor: Conveyor, now: datetime) -> Layer:
    """Three queries: the open cases, where they are suspected, and the looks of late."""
    cases = access.visible(Case.objects.open(), request.user).filter(conveyor=conveyor)
    seen = _seen_lately(request, conveyor, now)
    return Layer(
        tuple(_marks(list(cases[:_CASES]))),
        loop_ribbon.ribbon(seen, conveyor, loop_ribbon.look_address),
        _says(seen, conveyor),
    )


def _marks(cases: list[Case]) -> Iterator[Mark]:
    """Where the cause was found, else where it is suspected first; a case without stays away."""
    standing = Diagnosis.objects.filter(case__in=cases, superseded_at__isnull=True)
    suspected = {one.case_id: _suspected_m(one) for one in standing}
    for case in cases:
        position_m = suspected.get(case.pk) if case.position_m is None else case.position_m
        if position_m is not None:
            yield Mark(position_m, MarkKind.CASE, case.number, reverse("case", args=[case.number]))


def _suspected_m(diagnosis: Diagnosis) -> float | None:
    first = next(iter(diagnosis.answer.get("ranked", [])), None)
    position_m: float | None = first["position_m"] if first else None
    return position_m


def _seen_lately(request: HttpRequest, conveyor: Conveyor, now: datetime) -> list[Sighting]:
    """Of each station and load the latest look of any case."""
    rows = (
        access.visible(Sighting.objects.all(), request.user)
        .filter(
            walk_down__case__conveyor=conveyor,
            seen_at__range=(now - _LATELY, now),
            taken_back_at__isnull=True,
            not_seen_reason="",
        )
        .order_by("-seen_at", "-pk")[:_LOOKS]
    )
    latest: dict[tuple[str, str, bool], Sighting] = {}
    for row in rows:
        latest.setdefault((row.station.casefold(), row.load, row.is_running_backwards), row)
    return sorted(latest.values(), key=lambda row: row.position_m)


def _says(seen: list[Sighting], conveyor: Conveyor) -> str:
    if not seen:
        return ""
    days = sorted(plant_date(one.seen_at, conveyor.plant) for one in seen)
    if days[0] == days[-1]:
        return _("Seen on %(day)s.") % {"day": days[0]}
    return _("Seen from %(first)s to %(last)s.") % {"first": days[0], "last": days[-1]}
