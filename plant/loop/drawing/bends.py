"""Where the structure bends, both strands bend: corners of the belt between two pulleys."""

import math
from collections.abc import Collection, Iterable, Iterator, Sequence

from plant.loop.drawing.ground import Ground
from plant.loop.drawing.side_path import SidePath, Straight, Wheel
from plant.loop.vocabulary import Run

# Strands at more than this to the structure do not follow it: they hang, or lead to a pulley.
_ALONG = 0.7
# Nearer to a pulley a corner is not drawn: a share of its radius, since a slanting strand meets it
# earlier, and some air.
_OF_RADIUS, _ROOM = 0.8, 6.0


def with_bends(
    flat: SidePath,
    wheels: Sequence[Wheel],
    ground: Ground,
    hanging: Iterable[Sequence[Wheel]],
    apart: float,
    runs: Collection[Run] = tuple(Run),
) -> list[Wheel]:
    """The pulleys as they stand, with the corners of each strand before the pulley it leads to.

    Parameters
    ----------
    flat : SidePath
        The belt round the pulleys on level ground.
    wheels : sequence of Wheel
        The same pulleys as they stand, in the same order.
    ground : Ground
    hanging : iterable of sequences of Wheel
        Groups beside which the lane has to pass straight.
    apart : float
        Room for that.
    runs : collection of Run
        Which strands are bent.
    """
    closed = [_across(group, apart) for group in hanging]
    found: list[Wheel] = []
    strands = (piece for piece in flat.pieces if isinstance(piece, Straight))
    for index, (strand, wheel) in enumerate(zip(strands, wheels, strict=True)):
        way = math.cos(strand.start.heading_rad)
        run = Run.CARRYING if way > 0 else Run.RETURN
        if ground.corners and abs(way) > _ALONG and run in runs:
            rooms = [_ROOM + _OF_RADIUS * one.radius for one in (wheels[index - 1], wheel)]
            found += _corners(strand, ground, closed, rooms)
        found.append(wheel)
    return found


def _across(group: Sequence[Wheel], apart: float) -> tuple[float, float]:
    left = min(wheel.x - wheel.radius for wheel in group)
    right = max(wheel.x + wheel.radius for wheel in group)
    return left - apart, right + apart


def _corners(
    strand: Straight,
    ground: Ground,
    closed: Sequence[tuple[float, float]],
    rooms: Sequence[float],
) -> Iterator[Wheel]:
    start, end = strand.at(0.0), strand.at(1.0)
    way = 1 if end.x > start.x else -1
    low, high = sorted((start.x + way * rooms[0], end.x - way * rooms[1]))
    for x, along_m in ground.corners[::way]:
        # Past a hanging group only the return run leads.
        is_closed = way < 0 and any(left < x < right for left, right in closed)
        if not low < x < high or is_closed:
            continue
        bend = _slope(ground, x + 0.01) - _slope(ground, x - 0.01)
        if not bend:
            continue
        y = start.y + (end.y - start.y) * (x - start.x) / (end.x - start.x)
        at_m = _place(strand, ground, along_m, way)
        turn = way if bend > 0 else -way
        yield Wheel("", x, y + ground.rise_at(x), 0.0, turn, abs(bend), at_m, at_m)


def _slope(ground: Ground, x: float) -> float:
    return math.atan2(ground.rise_at(x + 0.01) - ground.rise_at(x - 0.01), 0.02)


def _place(strand: Straight, ground: Ground, along_m: float, way: int) -> float:
    """Loop position: surveyed on the carrying run, in proportion on the return run. [m]"""
    if way > 0 and strand.start_m < along_m < strand.end_m:
        return along_m
    first, last = (ground.along_at(strand.at(share).x) for share in (0.0, 1.0))
    share = (along_m - first) / (last - first)
    return strand.start_m + share * (strand.end_m - strand.start_m)
