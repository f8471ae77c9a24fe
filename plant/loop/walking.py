"""Where a person stops on a walk-down: from the tail along the carrying run, then back."""

from bisect import bisect_left, bisect_right
from itertools import pairwise

from plant.loop.parts import Station
from plant.loop.path import Loop
from plant.loop.vocabulary import ComponentKind
from plant.loop.zones import skirt_end_m

_ALWAYS = frozenset(
    {
        ComponentKind.TAIL_PULLEY,
        ComponentKind.HEAD_PULLEY,
        ComponentKind.DRIVE_PULLEY,
        ComponentKind.SNUB_PULLEY,
        ComponentKind.BEND_PULLEY,
        ComponentKind.TAKE_UP_PULLEY,
    }
)
# Idlers looked at one after another behind the skirts and behind the head, where the trade's
# first questions are decided; common practice, no source.
HANDFUL = 3


def walking_stations(loop: Loop, *, about: int = 28) -> tuple[Station, ...]:
    """A route of about so many stations, in walking order.

    The tail pulley comes first (the belt arriving), then the carrying run with the flow to the
    head, then the return run back to the tail. All pulleys, the first idler sets behind the tail,
    the skirts and the head, the last set before each pulley, and the rest spread evenly by metres.

    Parameters
    ----------
    loop : Loop
    about : int
        How many stations are wanted; pulleys and the sets beside them may make it more.
    """
    idlers = [station for part in loop.parts if part.is_idler for station in part.stations()]
    idlers.sort(key=lambda station: station.position_m)
    chosen = {station for part in loop.parts if part.kind in _ALWAYS for station in part.stations()}
    for start_m in (0.0, skirt_end_m(loop), loop.head_m):
        chosen.update([one for one in idlers if one.position_m > start_m][:HANDFUL])
    for pulley in loop.pulleys:
        before = [one for one in idlers if one.position_m < pulley.first_m]
        chosen.update(before[-1:])
    _fill_gaps(chosen, idlers, about)
    return in_walking_order(chosen)


def _fill_gaps(chosen: set[Station], idlers: list[Station], about: int) -> None:
    """Add the set nearest to the middle of the longest way without a look, again and again.

    By metres, not by number of sets: they stand closely under the load and far apart on the return.
    """
    free = [one for one in idlers if one not in chosen]
    while free and len(chosen) < about:
        places = [one.position_m for one in free]
        ends = sorted(one.position_m for one in chosen)
        ways = [
            (end_m - start_m, start_m, end_m)
            for start_m, end_m in pairwise([0.0, *ends])
            if bisect_left(places, start_m) < bisect_right(places, end_m)
        ]
        if not ways:
            return
        _, start_m, end_m = max(ways)
        chosen.add(free.pop(_nearest(places, start_m, end_m)))


def _nearest(places: list[float], start_m: float, end_m: float) -> int:
    """Which of the places inside a stretch, of which there is one, is nearest to its middle."""
    middle_m = (start_m + end_m) / 2
    first, last = bisect_left(places, start_m), bisect_right(places, end_m) - 1
    after = min(max(bisect_left(places, middle_m), first), last)
    before = max(after - 1, first)
    return min((before, after), key=lambda index: abs(places[index] - middle_m))


def in_walking_order(stations: set[Station]) -> tuple[Station, ...]:
    """Tail pulley first, then by loop position: the order of a person's feet."""
    return tuple(
        sorted(
            stations,
            key=lambda one: (
                -1.0 if one.kind is ComponentKind.TAIL_PULLEY else one.position_m,
                one.name,
            ),
        )
    )
