"""What a round of readings goes past, in the order in which the belt meets it."""

from dataclasses import dataclass

from plant.condition_words import spots_of
from plant.loop.condition import Quantity, kinds_of
from plant.loop.idler_sets import sets_of
from plant.loop.set_choice import choose_sets
from plant.models import Component, ConditionReading, Conveyor
from plant.roll_words import set_words
from plant.selectors.idlers import rows_of


@dataclass(frozen=True)
class Stop:
    """One component, or one set of a group."""

    component: Component
    set_number: int | None
    name: str
    at_m: float
    spots: tuple[str, ...]


def stops_of(conveyor: Conveyor, quantity: Quantity, sets: str) -> list[Stop]:
    """The stops of a round; raises CannotChoose where the sets typed mean none. One query."""
    components = list(conveyor.components.all())
    kinds = {kind.value for kind in kinds_of(quantity)}
    stops = [
        _stop(conveyor, quantity, one, None, float(one.first_m))
        for one in components
        if one.kind in kinds and not one.is_idler
    ]
    if sets.strip():
        by_pk = {one.pk: one for one in components}
        for one in choose_sets(sets, sets_of(rows_of(components))):
            component = by_pk[one.key or 0]
            if component.kind in kinds:
                stops.append(_stop(conveyor, quantity, component, one.place, one.at_m))
    return sorted(stops, key=lambda stop: stop.at_m)


def last_read(conveyor: Conveyor, quantity: Quantity, stop: Stop) -> dict[str, ConditionReading]:
    """The newest reading of each spot of a stop, by the spot in small letters; one query."""
    rows = conveyor.readings.filter(
        component=stop.component, set_number=stop.set_number, quantity=quantity.value
    )
    newest = rows.order_by("spot", "-taken_at", "-pk").distinct("spot")
    return {row.spot.casefold(): row for row in newest}


def _stop(
    conveyor: Conveyor, quantity: Quantity, component: Component, place: int | None, at_m: float
) -> Stop:
    name = set_words(component.as_part(), place) if place else component.name
    spots = tuple(spots_of(quantity, conveyor, component))
    return Stop(component, place, name, at_m, spots)
