"""Asset tags of a system: by conveyor, by component, as a file."""

from collections.abc import Sequence
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Count, Q

from plant.models import ConnectedSystem, Conveyor, WordingEntry
from plant.wording.refusals import TAGS

_ROWS = 25
# Components offered at once; idler sets by the hundred are written in a file.
MOST_COMPONENTS = 200


def page_of_conveyors(system: ConnectedSystem, number: str | None, asked: str = "") -> Page[Any]:
    """Conveyors in service, and others that have a tag."""
    tagged = WordingEntry.objects.filter(system=system, part=TAGS)
    rows = Conveyor.objects.filter(plant_id=system.plant_id).filter(
        Q(retired_on__isnull=True) | Q(pk__in=tagged.values("conveyor_id"))
    )
    if asked:
        theirs = tagged.filter(value__icontains=asked).values("conveyor_id")
        rows = rows.filter(Q(tag__icontains=asked) | Q(name__icontains=asked) | Q(pk__in=theirs))
    return Paginator(rows.order_by("tag"), _ROWS).get_page(number)


def tags_of(system: ConnectedSystem, conveyors: Sequence[Conveyor]) -> dict[int, str]:
    """Of the conveyors themselves."""
    rows = _entries(system).filter(conveyor__in=conveyors, key="")
    return dict(rows.values_list("conveyor_id", "value"))


def components_tagged(system: ConnectedSystem, conveyors: Sequence[Conveyor]) -> dict[int, int]:
    """How many components of each conveyor have a tag of their own."""
    rows = _entries(system).filter(conveyor__in=conveyors).exclude(key="")
    return dict(rows.values_list("conveyor_id").annotate(Count("pk")))


def places_on(system: ConnectedSystem, conveyor: Conveyor) -> list[tuple[str, str]]:
    """The components of a conveyor and what has a tag besides, such as one set of a group."""
    tags = dict(_entries(system).filter(conveyor=conveyor).values_list("key", "value"))
    names = list(conveyor.components.order_by("first_m", "pk").values_list("name", flat=True))
    others = sorted(tags.keys() - {*names, ""})
    listed = list(dict.fromkeys([*names, *others]))[:MOST_COMPONENTS]
    return [(name, tags.get(name, "")) for name in listed]


def all_tags(system: ConnectedSystem) -> list[tuple[str, str, str]]:
    """Conveyor, component, tag; conveyors without a tag stand there to be filled in."""
    rows = _entries(system).values_list("conveyor__tag", "key", "value")
    known = {(conveyor or "", key): value for conveyor, key, value in rows}
    conveyors = Conveyor.objects.in_service().filter(plant_id=system.plant_id)
    empty = {(tag, ""): "" for tag in conveyors.values_list("tag", flat=True)}
    return [(*place, tag) for place, tag in sorted((empty | known).items())]


def _entries(system: ConnectedSystem) -> Any:
    return WordingEntry.objects.filter(system=system, part=TAGS)
