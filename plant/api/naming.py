"""Rows that a body names by what people call them; the nearest names help who misspelt one."""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from rest_framework import serializers
from rest_framework.request import Request

from plant.api.keys import rows_of_key
from plant.errors import DomainError
from plant.models import Conveyor, Plant
from plant.selectors.finding_conveyors import find_conveyors

_NEAREST = 3


def conveyor_called(tag: str, plant: Plant, *, may_be_retired: bool = False) -> Conveyor:
    """The conveyor of this tag; refuses with ValidationError (`unknown_conveyor`)."""
    mine = Conveyor.objects.all() if may_be_retired else Conveyor.objects.in_service()
    found = mine.filter(plant=plant, tag__iexact=tag.strip()).first()
    if found is not None:
        return found
    near = find_conveyors(Plant.objects.filter(pk=plant.pk), tag, _NEAREST)
    said = f"No conveyor of this plant has the tag {tag}."
    nearest = f" Nearest: {', '.join(one.tag for one in near)}." if near else ""
    raise serializers.ValidationError(said + nearest, code="unknown_conveyor")


def conveyors_named(items: Iterable[dict[str, Any]], request: Request) -> set[int]:
    """Those of the key's plant that any of the items names in `conveyor`."""
    tags = {tag.casefold() for tag in texts_of(items, "conveyor")}
    mine = rows_of_key(Conveyor.objects.all(), request).values_list("pk", "tag")
    return {pk for pk, tag in mine if tag.casefold() in tags}


def texts_of(items: Iterable[dict[str, Any]], field: str) -> set[str]:
    """What the items say under this name, where it can be looked for at all."""
    said = (item.get(field) for item in items)
    return {text.strip() for text in said if isinstance(text, str) and "\x00" not in text}


@contextmanager
def fields_called(on_the_wire: Mapping[str, str]) -> Iterator[None]:
    """A refusal names the field that was sent, not what the service calls it."""
    try:
        yield
    except DomainError as refusal:
        field = getattr(refusal, "field", "")
        refusal.field = on_the_wire.get(field, field)  # type: ignore[attr-defined]
        raise
