"""Events that happened at one place of the loop, taken together; pure."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class PlacedEvent:
    """`key` tells the event apart; `position_m` is its loop position. [m]"""

    key: int
    position_m: float
    is_repeat: bool


@dataclass(frozen=True)
class EventPlace:
    """A place with its events in the order of their positions."""

    position_m: float
    events: tuple[PlacedEvent, ...]

    @property
    def repeats(self) -> int:
        return sum(event.is_repeat for event in self.events)


def places_of(
    events: Iterable[PlacedEvent], *, same_place_m: float, loop_length_m: float | None = None
) -> list[EventPlace]:
    """Take events together that lie within the distance at which two places count as one.

    Parameters
    ----------
    events : iterable of PlacedEvent
    same_place_m : float
        No two events of a place are further apart. [m]
    loop_length_m : float, optional
        The loop closes there; positions beyond it are counted on round it. [m]

    Returns
    -------
    list of EventPlace
        In the order of the belt; each at the middle of the positions it takes in.

    Raises
    ------
    ValueError
        A distance is negative.
    """
    if same_place_m < 0:
        raise ValueError(f"same_place_m must be from 0 m, got {same_place_m}")
    groups: list[list[tuple[float, PlacedEvent]]] = []
    for at_m, event in sorted(_unrolled(events, loop_length_m), key=_by_place):
        if groups and at_m - groups[-1][0][0] <= same_place_m:
            groups[-1].append((at_m, event))
        else:
            groups.append([(at_m, event)])
    if loop_length_m and len(groups) > 1:
        _close(groups, same_place_m, loop_length_m)
    return sorted((_place(one, loop_length_m) for one in groups), key=lambda one: one.position_m)


def _unrolled(
    events: Iterable[PlacedEvent], loop_length_m: float | None
) -> Iterable[tuple[float, PlacedEvent]]:
    for event in events:
        yield (event.position_m % loop_length_m if loop_length_m else event.position_m), event


def _by_place(placed: tuple[float, PlacedEvent]) -> tuple[float, int]:
    return placed[0], placed[1].key


def _close(
    groups: list[list[tuple[float, PlacedEvent]]], same_place_m: float, loop_length_m: float
) -> None:
    """The first and the last group may be one, across the place where the loop is counted from."""
    first, last = groups[0], groups[-1]
    if first[-1][0] + loop_length_m - last[0][0] <= same_place_m:
        last.extend((at_m + loop_length_m, event) for at_m, event in groups.pop(0))


def _place(group: list[tuple[float, PlacedEvent]], loop_length_m: float | None) -> EventPlace:
    middle = (group[0][0] + group[-1][0]) / 2
    at_m = middle % loop_length_m if loop_length_m else middle
    return EventPlace(at_m, tuple(event for _at_m, event in group))
