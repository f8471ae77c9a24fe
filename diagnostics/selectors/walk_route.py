"""The route of a walk-down: its stops in the order of a person's feet, and what was kept there."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from diagnostics.models import Sighting, WalkDown
from plant.loop.parts import GeometryError
from plant.loop.path import Loop
from plant.loop.vocabulary import Run
from plant.loop.walking import walking_stations
from plant.models import Conveyor
from plant.selectors.loops import loop_of

_NAMES_OFFERED = 4
# A place this near to a named station is called by its name. [m]
_SAME_M = 0.3


@dataclass(frozen=True)
class Place:
    """Where a look is made; `kind` is empty away from any station."""

    station: str
    run: Run
    position_m: float
    kind: str = ""


@dataclass(frozen=True)
class Stop:
    number: int
    place: Place
    looks: tuple[Sighting, ...]
    # From here on people usually walk back and face the tail.
    is_turn: bool


@dataclass(frozen=True)
class Route:
    """`loop` is None, and there are no stops, while the register is incomplete: see `missing`."""

    loop: Loop | None
    stops: tuple[Stop, ...]
    missing: str = ""

    def stop(self, number: int) -> Stop | None:
        return self.stops[number - 1] if 1 <= number <= len(self.stops) else None

    def next_open(self, load: str, after: int = 0) -> Stop | None:
        """The first stop behind `after` that was not looked at in this load state."""
        return next(
            (
                stop
                for stop in self.stops[after:]
                if not any(look.load == load for look in stop.looks)
            ),
            None,
        )

    def number_before(self, place: Place) -> int:
        """The last stop that comes before a place off the route; 0 while there is no route."""
        passed = [one for one in self.stops[1:] if one.place.position_m <= place.position_m]
        return passed[-1].number if passed else min(len(self.stops), 1)

    def place_named(self, name: str) -> Place | None:
        station = self.loop.station_named(name) if self.loop else None
        if station is None:
            return None
        return Place(station.name, station.run, station.position_m, station.kind.value)

    def place_at(self, position_m: float) -> Place | None:
        """A place by its loop position; None off the loop."""
        if self.loop is None or not 0 <= position_m < self.loop.length_m:
            return None
        near = self.loop.nearest_station(position_m)
        if self.loop.apart_m(near.position_m, position_m) <= _SAME_M:
            return Place(near.name, near.run, near.position_m, near.kind.value)
        return Place(f"{position_m:.1f} m", self.loop.run_at(position_m), position_m)

    def names_like(self, name: str) -> list[str]:
        """Known stations a mistyped name may have meant."""
        if self.loop is None:
            return []
        known = {station.name.casefold(): station.name for station in self.loop.stations}
        close = get_close_matches(name.strip().casefold(), known, n=_NAMES_OFFERED, cutoff=0.4)
        return [known[one] for one in close]


def route_of(walk_down: WalkDown, sightings: Sequence[Sighting]) -> Route:
    """Every stop with the standing looks of this walk-down; one query."""
    looks: dict[str, list[Sighting]] = {}
    for one in sightings:
        if one.taken_back_at is None:
            looks.setdefault(one.station.casefold(), []).append(one)
    return route_along(walk_down.case.conveyor, looks)


def route_along(conveyor: Conveyor, looks: Mapping[str, Sequence[Sighting]]) -> Route:
    """Every stop of a conveyor; `looks` by the station's name in small letters."""
    try:
        loop = loop_of(conveyor)
    except GeometryError as error:
        return Route(None, (), str(error))
    stations = walking_stations(loop)
    turn = next((one for one in stations[1:] if one.run is Run.RETURN), None)
    stops = tuple(
        Stop(
            number=number,
            place=Place(one.name, one.run, one.position_m, one.kind.value),
            looks=tuple(looks.get(one.name.casefold(), ())),
            is_turn=one is turn,
        )
        for number, one in enumerate(stations, start=1)
    )
    return Route(loop, stops)
