"""What a person who is about to time a station is shown: stations, sides, how long a turn takes."""

from dataclasses import dataclass

from diagnostics.inference.as_seen import side_in_register
from diagnostics.selectors.walk_route import Place, Route, Stop
from plant.loop.parts import GeometryError
from plant.loop.path import belt_revolution_time_s
from plant.loop.vocabulary import Side
from plant.loop.walking import walking_stations
from plant.models import Conveyor
from plant.selectors.loops import fitted_belt, loop_of


@dataclass(frozen=True)
class SeenSide:
    """A side as the person sees it, what the register calls it and the conveyor's own word."""

    seen: str
    register: str
    own: str


def route_along(conveyor: Conveyor) -> Route:
    """The stations of a walk, without looks; without a loop while the register is incomplete."""
    try:
        loop = loop_of(conveyor)
    except GeometryError as error:
        return Route(None, (), str(error))
    stops = tuple(
        Stop(number, Place(one.name, one.run, one.position_m, one.kind.value), (), False)
        for number, one in enumerate(walking_stations(loop), start=1)
    )
    return Route(loop, stops)


def sides_of(conveyor: Conveyor, *, is_facing_tail: bool) -> list[SeenSide]:
    """Left and right as the person sees them."""
    found = []
    for side in (Side.LEFT, Side.RIGHT):
        register = side_in_register(side, is_facing_tail=is_facing_tail)
        found.append(SeenSide(side.value, register.value, conveyor.words_for(register)))
    return found


def turn_s_of(conveyor: Conveyor) -> float | None:
    """How long the belt takes once round by the register; None while that is incomplete. [s]"""
    belt = fitted_belt(conveyor)
    try:
        length_m = belt.length_m if belt else loop_of(conveyor).length_m
    except GeometryError:
        return None
    return belt_revolution_time_s(length_m, conveyor.speed_mps)
