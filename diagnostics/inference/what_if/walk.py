"""Where a picture is read: the stations of a walk, and more of them where the fault shows."""

from collections.abc import Sequence

import numpy as np

from diagnostics.inference.what_if.picture import Picture, Stretch
from plant.loop.parts import Station
from plant.loop.path import Loop
from plant.loop.walking import in_walking_order, walking_stations

# Looks added on a long belt, whose walk passes a fault between two of its stations.
_ADDED = 12
# So much of the stretch before and behind it, to see the belt come off and back.
_MARGIN = 0.2


def stations_of(pictures: Sequence[Picture]) -> tuple[Station, ...]:
    """Stations in walking order, the same for every load state."""
    loop = pictures[0].loop
    chosen = set(walking_stations(loop))
    for one in pictures:
        stretch = one.off_centre or one.reach
        if stretch is not None:
            chosen.update(_within(loop, stretch))
    return in_walking_order(chosen)


def _within(loop: Loop, stretch: Stretch) -> list[Station]:
    """Idlers of a stretch and its surroundings, spread evenly by metres."""
    whole_m = loop.ahead_m(stretch.from_m, stretch.to_m)
    start_m = stretch.from_m - _MARGIN * whole_m
    length_m = min((1 + 2 * _MARGIN) * whole_m, loop.length_m)
    idlers = [
        (loop.ahead_m(start_m, station.position_m), station)
        for part in loop.parts
        if part.is_idler
        for station in part.stations()
    ]
    inside = sorted(
        (one for one in idlers if one[0] <= length_m), key=lambda one: (one[0], one[1].name)
    )
    if not inside:
        return []
    at = np.array([way_m for way_m, _ in inside])
    wanted = np.linspace(at[0], at[-1], _ADDED)
    return [inside[number][1] for number in {int(np.argmin(np.abs(at - one))) for one in wanted}]
