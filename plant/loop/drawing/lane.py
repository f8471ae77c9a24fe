"""The lane outside the belt in which its offset is drawn as a ribbon.

The lane follows the belt at a fixed distance and passes round what hangs below the return run.
Outside the loop is right, inside is left, on both runs: looking in the direction of carrying
travel the ribbon keeps its side when the belt goes over the head.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from plant.loop.drawing.side_path import Arc, SidePath, Spot, Straight, Wheel

_STEP_RAD = math.radians(9)
_CLEAR = 9.0
# A belt that turns by more does so on a pulley that it wraps.
_SHARP_RAD = math.radians(100)


@dataclass(frozen=True)
class Lane:
    """The lane's middle line, from loop position 0 on; half its width stands on either side.

    `breaks` are the loop positions at which the lane ends and goes on elsewhere; there two of its
    corners have the same position.
    """

    positions: tuple[float, ...]
    spots: tuple[Spot, ...]
    half: float
    length_m: float
    breaks: tuple[float, ...] = ()

    def at(self, position_m: float, *, after: bool = False) -> Spot:
        """The middle of the lane; at a break where it ends, or where it goes on after."""
        ends_here = position_m == self.length_m and not after
        place = position_m if ends_here else position_m % self.length_m
        found = (bisect_right if after else bisect_left)(self.positions, place)
        index = min(max(1, found), len(self.positions) - 1)
        before_m, after_m = self.positions[index - 1], self.positions[index]
        share = (place - before_m) / (after_m - before_m) if after_m > before_m else 0.0
        share = min(max(share, 0.0), 1.0)
        one, other = self.spots[index - 1], self.spots[index]
        turn = math.remainder(other.heading_rad - one.heading_rad, math.tau)
        return Spot(
            one.x + share * (other.x - one.x),
            one.y + share * (other.y - one.y),
            one.heading_rad + share * turn,
        )

    def pieces(self, from_m: float, to_m: float) -> list[list[tuple[float, Spot]]]:
        """The lane from one place to a later one, over the seam too, cut where it breaks."""
        found: list[list[tuple[float, Spot]]] = []
        start_m = from_m
        cuts = [cut + turn for turn in (0.0, self.length_m) for cut in self.breaks]
        for end_m in sorted({*(cut for cut in cuts if from_m < cut < to_m), to_m}):
            inner = [
                (place + turn, spot)
                for turn in (0.0, self.length_m)
                for place, spot in zip(self.positions, self.spots, strict=True)
                if start_m < place + turn < end_m
            ]
            end = self.at(end_m % self.length_m or self.length_m)
            found.append([(start_m, self.at(start_m, after=True)), *inner, (end_m, end)])
            start_m = end_m
        return found

    def offset(self, position_m: float, share: float) -> tuple[float, float]:
        """The point that stands for an offset, as a share of the clearance, right positive."""
        return self.at(position_m).beside(share * self.half)

    def edges(self, share: float) -> list[list[tuple[float, float]]]:
        """The lines so many half widths to the right of the middle, one a piece."""
        pieces: list[list[tuple[float, float]]] = [[]]
        for index, (place, spot) in enumerate(zip(self.positions, self.spots, strict=True)):
            if index and place == self.positions[index - 1] and place in self.breaks:
                pieces.append([])
            pieces[-1].append(spot.beside(share * self.half))
        return pieces


@dataclass(frozen=True)
class _Box:
    """What a hanging group takes, and where on the loop it begins, is lowest and ends. [m]"""

    left: float
    right: float
    bottom: float
    enter_m: float
    lowest_m: float
    leave_m: float


_Node = tuple[float, Spot]


def lane_along(
    path: SidePath, hanging: Sequence[Sequence[Wheel]], away: float, half: float
) -> Lane:
    """Lay the lane.

    Parameters
    ----------
    path : SidePath
    hanging : sequence of sequences of Wheel
        Groups of pulleys that hang below the return run, in belt order.
    away, half : float
        Distance of the lane's middle from the belt, and half its width.
    """
    boxes = {
        wheel: (number, _box(group)) for number, group in enumerate(hanging) for wheel in group
    }
    nodes: list[_Node] = []
    before: tuple[int, _Box] | None = None
    for piece in path.pieces:
        if isinstance(piece, Arc):
            before = boxes.get(piece.wheel)
            if before is None and piece.wheel.turn < 0:
                nodes += _round(piece, away)
            continue
        following = _next_wheel(path, piece)
        after = boxes.get(following)
        if before is not None and before == after:
            continue
        if _is_pass(piece, following, away) and after is None:
            continue
        trims = _trims(path, piece, away)
        start, end = _clipped(piece, away, half, before, after, trims)
        if before is not None and nodes:
            nodes += _detour(nodes[-1], start, before[1], half)
        nodes += [start, end]
    # Where a slope is steep beside a group that hangs, a corner's place can lie past its next.
    places = tuple(accumulate((place for place, _ in nodes), max))
    return Lane(places, tuple(spot for _, spot in nodes), half, path.length_m)


def _is_pass(piece: Straight, following: Wheel, away: float) -> bool:
    """A short strand to a pulley that only presses on the belt: the lane passes both."""
    return following.turn > 0 and piece.length < 2 * away and not following.is_bend


def detour_room(half: float) -> float:
    """Room the lane takes beside a hanging group."""
    return 3 * half + 2 * _CLEAR


def _box(group: Sequence[Wheel]) -> _Box:
    lowest = min(group, key=lambda wheel: wheel.y - wheel.radius)
    return _Box(
        left=min(wheel.x - wheel.radius for wheel in group),
        right=max(wheel.x + wheel.radius for wheel in group),
        bottom=lowest.y - lowest.radius,
        enter_m=group[0].from_m,
        lowest_m=(lowest.from_m + lowest.to_m) / 2,
        leave_m=group[-1].to_m,
    )


def _next_wheel(path: SidePath, piece: Straight) -> Wheel:
    following = path.pieces[path.pieces.index(piece) + 1]
    assert isinstance(following, Arc)
    return following.wheel


def _trims(path: SidePath, piece: Straight, away: float) -> tuple[float, float]:
    """Shares of a strand where its lane would run into its neighbour's, inside a corner."""
    index, count = path.pieces.index(piece), len(path.pieces)
    found = []
    for way in (-1, 1):
        corner, beyond = path.pieces[(index + way) % count], path.pieces[(index + 2 * way) % count]
        is_sharp = isinstance(corner, Arc) and 0 < corner.sweep_rad < _SHARP_RAD
        shorter = min(piece.length, getattr(beyond, "length", 0.0))
        if isinstance(corner, Arc) and is_sharp and (corner.wheel.is_bend or shorter > 2 * away):
            inside = max(0.0, away - corner.wheel.radius)
            found.append(inside * math.tan(corner.sweep_rad / 2) / (piece.length or 1.0))
        else:
            found.append(0.0)
    return found[0], found[1]


def _round(arc: Arc, away: float) -> Iterator[_Node]:
    steps = max(1, math.ceil(abs(arc.sweep_rad) / _STEP_RAD))
    for step in range(steps + 1):
        share = step / steps
        spot = arc.at(share)
        x, y = spot.beside(away)
        place = arc.start_m + share * (arc.end_m - arc.start_m)
        yield place, Spot(x, y, spot.heading_rad)


def _clipped(
    piece: Straight,
    away: float,
    half: float,
    before: tuple[int, _Box] | None,
    after: tuple[int, _Box] | None,
    trims: tuple[float, float],
) -> tuple[_Node, _Node]:
    """A straight strand's lane, ended early where it has to pass round a hanging group."""
    beside = 2 * half + 2 * _CLEAR
    first = _share_at(piece, before[1].left - beside) if before else trims[0]
    last = _share_at(piece, after[1].right + beside) if after else 1.0 - trims[1]
    if first > last:
        first = last = min(max((first + last) / 2, 0.0), 1.0)
    return _beside(piece, first, away), _beside(piece, last, away)


def _share_at(piece: Straight, x: float) -> float:
    across = piece.length * math.cos(piece.start.heading_rad)
    return min(max((x - piece.start.x) / across, 0.0), 1.0) if across else 0.0


def _beside(piece: Straight, share: float, away: float) -> _Node:
    spot = piece.at(share)
    x, y = spot.beside(away)
    place = piece.start_m + share * (piece.end_m - piece.start_m)
    return place, Spot(x, y, spot.heading_rad)


def _detour(entry: _Node, leave: _Node, box: _Box, half: float) -> list[_Node]:
    """Down before the group, along below it, up behind it, with round corners.

    The group's first pulley stands where the lane turns down, its lowest in the middle below, its
    last where the lane turns away again.
    """
    radius = half + _CLEAR / 2
    start, end = entry[1], leave[1]
    bottom = box.bottom - half - _CLEAR
    west, south, north = math.pi, 1.5 * math.pi, 0.5 * math.pi
    down = _quarter(start.x, start.y - radius, radius, west, south, 1)
    if end.y <= bottom + 2 * radius:
        along = _quarter(start.x - 2 * radius, end.y + radius, radius, south, west, -1)
        nodes = _spaced(down, entry[0], box.enter_m)
        return nodes + _spaced([down[-1], *along, end], box.enter_m, leave[0])[1:-1]
    first = _quarter(start.x - 2 * radius, bottom + radius, radius, south, west, -1)
    second = _quarter(end.x + 2 * radius, bottom + radius, radius, west, north, -1)
    up = _quarter(end.x, end.y - radius, radius, north, west, 1)
    below = Spot((first[-1].x + second[0].x) / 2, bottom, west)
    return [
        *_spaced(down, entry[0], box.enter_m),
        *_spaced([down[-1], *first, below], box.enter_m, box.lowest_m)[1:],
        *_spaced([below, *second, up[0]], box.lowest_m, box.leave_m)[1:],
        *_spaced(up, box.leave_m, leave[0])[1:],
    ]


def _quarter(
    x: float, y: float, radius: float, from_rad: float, to_rad: float, turn: int
) -> list[Spot]:
    steps = 5
    return [
        Spot(x + turn * radius * math.sin(heading), y - turn * radius * math.cos(heading), heading)
        for step in range(steps + 1)
        for heading in (from_rad + (to_rad - from_rad) * step / steps,)
    ]


def _spaced(spots: list[Spot], from_m: float, to_m: float) -> list[_Node]:
    """Loop positions in proportion to the way along the spots."""
    ways = [0.0]
    for one, other in pairwise(spots):
        ways.append(ways[-1] + math.hypot(other.x - one.x, other.y - one.y))
    whole = ways[-1] or 1.0
    return [
        (from_m + (to_m - from_m) * way / whole, spot)
        for way, spot in zip(ways, spots, strict=True)
    ]
