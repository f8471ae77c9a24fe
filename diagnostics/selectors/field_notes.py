"""Notes from the field: all of them, those on one thing, those the next person needs here."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet

from diagnostics.models import Case, FieldNote
from diagnostics.selectors.suspects import component_at
from diagnostics.selectors.walk_route import Place, Route
from plant.models import Component, Conveyor
from plant.templatetags.sheet import plant_date

ROWS = 25
SHOWN = 5
SUSPECTS = 3
_HYPOTHESES = 12
# Of one conveyor and on causes, each: with a thousand letters a note still a small part of a kit.
_MOST_ON_PHONE = 40
# Of one conveyor and what is suspected on it, the newest; no belt has so many that hold.
_MOST_LOOKED_THROUGH = 200


@dataclass(frozen=True)
class NotesWanted:
    plant_id: int | None = None
    cause: str = ""
    conveyor: Conveyor | None = None
    component: Component | None = None
    also_past: bool = False


@dataclass(frozen=True)
class Notes:
    """The newest of those that hold, and how many more there are."""

    rows: list[FieldNote]
    more: int


def told(rows: QuerySet[FieldNote]) -> QuerySet[FieldNote]:
    """With what stands beside each note, newest first."""
    related = ("plant", "conveyor__plant", "component", "written_by", "no_longer_by")
    shown = rows.select_related(*related, "taken_back_by").prefetch_related("photos")
    return shown.order_by("-written_at", "-pk")


def page_of_notes(
    rows: QuerySet[FieldNote], wanted: NotesWanted, page: str | None
) -> Page[FieldNote]:
    """`rows` are those a person may see."""
    if wanted.plant_id is not None:
        rows = rows.filter(plant_id=wanted.plant_id)
    if wanted.cause:
        rows = rows.filter(cause=wanted.cause)
    if wanted.conveyor is not None:
        rows = rows.filter(conveyor=wanted.conveyor)
    if wanted.component is not None:
        rows = rows.filter(component=wanted.component)
    if not wanted.also_past:
        rows = rows.filter(taken_back_at__isnull=True, no_longer_at__isnull=True)
    return Paginator(told(rows), ROWS).get_page(page)


def notes_on_cause(plant_id: int, slug: str) -> Notes:
    return _newest(FieldNote.objects.filter(plant_id=plant_id, cause=slug))


def notes_on_conveyor(conveyor: Conveyor) -> Notes:
    """Those on its components among them."""
    return _newest(FieldNote.objects.filter(conveyor=conveyor))


def notes_on_component(component: Component) -> Notes:
    return _newest(FieldNote.objects.filter(component=component))


def notes_here(
    conveyor: Conveyor, route: Route, place: Place | None, suspects: Iterable[str]
) -> Notes:
    """For who stands at a place: what was noted at the stop nearest to it, and what is suspected.

    Notes on a suspected cause that were written at another conveyor count: that is what they are
    for. Those on the conveyor as a whole come with every stop.
    """
    causes = set(suspects)
    suspected = Q(plant_id=conveyor.plant_id, cause__in=causes)
    rows = told(FieldNote.objects.standing().filter(Q(conveyor=conveyor) | suspected))
    stretches = stop_stretches(route)
    at_m = place.position_m if place else None
    nearest = {
        number for number, from_m, to_m in stretches if at_m is not None and from_m <= at_m <= to_m
    }
    found = []
    for one in rows[:_MOST_LOOKED_THROUGH]:
        stops = _stops_of(one, conveyor, stretches)
        is_told = not one.cause if stops is None else bool(nearest.intersection(stops))
        if is_told or one.cause in causes:
            found.append(one)
    return Notes(found[:SHOWN], max(len(found) - SHOWN, 0))


def stop_stretches(route: Route) -> list[tuple[int, float, float]]:
    """Number of each stop with the stretch of the loop it stands for, half-way to its neighbours.

    Nothing lies outside them: what stands between two stops is told at the nearer one.
    """
    if route.loop is None:
        return []
    stops = sorted(route.stops, key=lambda one: one.place.position_m)
    at_m = [one.place.position_m for one in stops]
    between = [(one + other) / 2 for one, other in pairwise(at_m)]
    ends = [0.0, *between, route.loop.length_m]
    return [(one.number, ends[at], ends[at + 1]) for at, one in enumerate(stops)]


def _stops_of(
    note: FieldNote, conveyor: Conveyor, stretches: list[tuple[int, float, float]]
) -> list[int] | None:
    """The stops where a note is told; None for one on no place, or while there is no route."""
    where = _where(note) if note.conveyor_id == conveyor.pk else None
    if where is None or not stretches:
        return None
    first_m, last_m = where
    return [number for number, from_m, to_m in stretches if from_m <= last_m and first_m <= to_m]


def _where(note: FieldNote) -> tuple[float, float] | None:
    """First and last place of what a note is on. [m]"""
    if note.position_m is not None:
        return note.position_m, note.position_m
    component = note.component
    if component is None:
        return None
    return float(component.first_m), float(component.last_m) + (component.length_m or 0.0)


def where_named(conveyor: Conveyor, name: str) -> tuple[Component | None, float | None]:
    """The component a station belongs to, and its place where it is one set of a group."""
    component = component_at(conveyor, name)
    if component is None or component.count == 1:
        return component, None
    wanted = name.strip().casefold()
    sets = component.as_part().stations()
    return component, next(one.position_m for one in sets if one.name.casefold() == wanted)


def suspected_causes(case: Case) -> list[str]:
    """What the standing diagnosis suspects most, each cause once."""
    rows = case.hypotheses.filter(diagnosis__superseded_at__isnull=True, diagnosis__isnull=False)
    causes = rows.order_by("rank").values_list("cause", flat=True)[:_HYPOTHESES]
    return list(dict.fromkeys(causes))[:SUSPECTS]


def _newest(rows: QuerySet[FieldNote]) -> Notes:
    """One more than is shown tells whether others are to be counted."""
    holding = rows.filter(taken_back_at__isnull=True, no_longer_at__isnull=True)
    found = list(told(holding)[: SHOWN + 1])
    more = holding.count() - SHOWN if len(found) > SHOWN else 0
    return Notes(found[:SHOWN], more)


def notes_for_phone(conveyor: Conveyor, route: Route) -> list[dict[str, Any]]:
    """Notes of a conveyor, then those on causes from elsewhere, as a phone takes them along."""
    holding = told(FieldNote.objects.standing())
    own = holding.filter(conveyor=conveyor)
    others = holding.filter(plant_id=conveyor.plant_id).exclude(cause="")
    rows = [*own[:_MOST_ON_PHONE], *others.exclude(conveyor=conveyor)[:_MOST_ON_PHONE]]
    stretches = stop_stretches(route)
    return [_for_phone(one, conveyor, _stops_of(one, conveyor, stretches)) for one in rows]


def _for_phone(note: FieldNote, conveyor: Conveyor, stops: list[int] | None) -> dict[str, Any]:
    """`stops` is null for a note that belongs to every stop, empty for one on a cause alone."""
    is_here = note.conveyor_id == conveyor.pk
    elsewhere = note.conveyor.tag if note.conveyor and not is_here else ""
    by = str(note.written_by) if note.written_by else ""
    place = " ".join(filter(None, [elsewhere, note.place]))
    about = [place, by, plant_date(note.written_at, note.plant)]
    if stops is None and (note.cause or not is_here):
        stops = []
    return {
        "text": note.text,
        "about": " · ".join(filter(None, about)),
        "cause": note.cause,
        "stops": stops,
        "photos": len(note.photos.all()),
    }
