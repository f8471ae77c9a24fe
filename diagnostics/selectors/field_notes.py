"""Notes from the field: all of them, those on one thing, those the next person needs here."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Count, Q, QuerySet

from diagnostics.models import Case, FieldNote
from diagnostics.selectors.walk_route import Place
from plant.loop.vocabulary import Run
from plant.models import Component, Conveyor
from plant.templatetags.sheet import plant_date

ROWS = 25
SHOWN = 5
SUSPECTS = 3
_HYPOTHESES = 12
# Of one conveyor and on causes, each: with a thousand letters a note still a small part of a kit.
_MOST_ON_PHONE = 40
# A place this near to a component is at it: stations are where components are. [m]
_AT_M = 0.3


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


def notes_here(conveyor: Conveyor, place: Place | None, suspects: Iterable[str]) -> Notes:
    """For who stands at a place: what was noted there, then on what is suspected now.

    Notes on a suspected cause that were written at another conveyor count: that is what they are
    for. Those on the conveyor as a whole come with every place.
    """
    at_place = Q(pk__in=[])
    if place is not None:
        at_place = Q(component__in=components_at(conveyor, place)) | Q(
            conveyor=conveyor, component=None, place__iexact=place.station
        )
    whole = Q(conveyor=conveyor, component=None, place="", cause="")
    suspected = Q(plant_id=conveyor.plant_id, cause__in=list(suspects))
    return _newest(FieldNote.objects.filter(at_place | whole | suspected))


def suspected_causes(case: Case) -> list[str]:
    """What the standing diagnosis suspects most, each cause once."""
    rows = case.hypotheses.filter(diagnosis__superseded_at__isnull=True, diagnosis__isnull=False)
    causes = rows.order_by("rank").values_list("cause", flat=True)[:_HYPOTHESES]
    return list(dict.fromkeys(causes))[:SUSPECTS]


def components_at(conveyor: Conveyor, place: Place) -> list[Component]:
    """The components that stand at a place of the walk."""
    return [one for one in conveyor.components.all() if _is_at(one, place.run, place.position_m)]


def _is_at(component: Component, run: Run, position_m: float) -> bool:
    first_m, last_m = float(component.first_m), float(component.last_m)
    if component.run != run.value or not first_m - _AT_M <= position_m <= last_m + _AT_M:
        return False
    # Between two sets of a group stands none of it.
    spacing_m = float(component.spacing_m or 0) if component.count > 1 else 0.0
    if not spacing_m:
        return True
    off_m = (position_m - first_m) % spacing_m
    return min(off_m, spacing_m - off_m) <= _AT_M


def _newest(rows: QuerySet[FieldNote]) -> Notes:
    """One more than is shown tells whether others are to be counted."""
    holding = rows.filter(taken_back_at__isnull=True, no_longer_at__isnull=True)
    found = list(told(holding)[: SHOWN + 1])
    more = holding.count() - SHOWN if len(found) > SHOWN else 0
    return Notes(found[:SHOWN], more)


def notes_for_phone(conveyor: Conveyor) -> list[dict[str, Any]]:
    """Notes of a conveyor, then those on causes from elsewhere, as a phone takes them along."""
    holding = told(FieldNote.objects.standing()).annotate(count_of_photos=Count("photos"))
    own = holding.filter(conveyor=conveyor)
    others = holding.filter(plant_id=conveyor.plant_id).exclude(cause="")
    rows = [*own[:_MOST_ON_PHONE], *others.exclude(conveyor=conveyor)[:_MOST_ON_PHONE]]
    return [_for_phone(one, conveyor) for one in rows]


def _for_phone(note: FieldNote, conveyor: Conveyor) -> dict[str, Any]:
    component = note.component if note.conveyor_id == conveyor.pk else None
    elsewhere = note.conveyor.tag if note.conveyor and note.conveyor_id != conveyor.pk else ""
    by = str(note.written_by) if note.written_by else ""
    place = " ".join(filter(None, [elsewhere, note.place]))
    about = [place, by, plant_date(note.written_at, note.plant)]
    return {
        "text": note.text,
        "about": " · ".join(filter(None, about)),
        "cause": note.cause,
        "here": note.conveyor_id == conveyor.pk,
        "place": note.place,
        "at": _stretch(component) if component else None,
        "photos": note.count_of_photos,  # type: ignore[attr-defined]
    }


def _stretch(component: Component) -> list[Any]:
    """Run, first and last place; the phone widens it by as much as the site does."""
    ends = (float(component.first_m) - _AT_M, float(component.last_m) + _AT_M)
    return [component.run, *(round(one, 2) for one in ends)]
