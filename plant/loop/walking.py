"""Where a person stops on a walk-down: from the tail along the carrying run, then back."""

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
    the skirts and the head, the last set before each pulley, and the rest spread evenly.

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
    left = about - len(chosen)
    rest = [one for one in idlers if one not in chosen]
    if left > 0 and rest:
        step = max(len(rest) / left, 1.0)
        chosen.update(rest[int((index + 0.5) * step)] for index in range(int(len(rest) / step)))
    return in_walking_order(chosen)


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
