"""The list of conveyors, filtered, each with what its register still asks."""

from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet

from plant.models import Conveyor, Plant
from plant.selectors import finding_conveyors, loops

# Whoever finds more than this has not said enough.
_MOST_FOUND = 200


@dataclass(frozen=True)
class ConveyorsWanted:
    """Filters of the list; empty ones let everything through."""

    words: str = ""
    plant: str = ""
    area: str = ""
    also_retired: bool = False


@dataclass(frozen=True)
class ConveyorRow:
    conveyor: Conveyor
    length_m: float | None
    question: str


def conveyors_wanted(
    conveyors: QuerySet[Conveyor], plants: QuerySet[Plant], wanted: ConveyorsWanted
) -> QuerySet[Conveyor] | list[Conveyor]:
    """By tag; when words are asked for, the best found first."""
    if wanted.plant:
        plants = plants.filter(code=wanted.plant)
    if wanted.words:
        found = finding_conveyors.find_conveyors(
            plants, wanted.words, _MOST_FOUND, also_retired=wanted.also_retired
        )
        return [one for one in found if not wanted.area or one.area == wanted.area]
    rows = conveyors.filter(plant__in=plants)
    if not wanted.also_retired:
        rows = rows.filter(retired_on__isnull=True)
    if wanted.area:
        rows = rows.filter(area=wanted.area)
    return rows.select_related("plant").order_by("plant__name", "tag", "pk")


def page_of_rows(
    found: QuerySet[Conveyor] | list[Conveyor], number: str | None, rows: int
) -> Page[Any]:
    """One page; the register is read for its conveyors only, in three queries."""
    page = Paginator(found, rows).get_page(number)
    wanted = [conveyor.pk for conveyor in page.object_list]
    loaded = {one.pk: one for one in loops.with_register(Conveyor.objects.filter(pk__in=wanted))}
    return Page([_row(loaded[pk]) for pk in wanted if pk in loaded], page.number, page.paginator)


def areas_of(conveyors: QuerySet[Conveyor]) -> list[str]:
    return list(
        conveyors.exclude(area="").order_by("area").values_list("area", flat=True).distinct()
    )


def _row(conveyor: Conveyor) -> ConveyorRow:
    state = loops.state_of_loaded(conveyor)
    return ConveyorRow(conveyor, state.loop.length_m if state.loop else None, state.first_question)
