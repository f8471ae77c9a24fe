"""The belt in side view: straight between the pulleys, round on them; from loop position to point.

Plane: x along the conveyor toward the head, y upward, in drawing units. Directions [rad] count
counter-clockwise from carrying travel, as pulley angles do.
"""

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

_NO_JUMP = 0.01


@dataclass(frozen=True)
class Wheel:
    """A pulley as drawn; `turn` is +1 when it turns the belt counter-clockwise, -1 clockwise."""

    name: str
    x: float
    y: float
    radius: float
    turn: int
    wrap_rad: float
    from_m: float
    to_m: float

    @property
    def is_bend(self) -> bool:
        """A corner of the structure's line and no pulley."""
        return self.radius == 0


@dataclass(frozen=True)
class Spot:
    """A point of the belt and the direction in which the belt runs there."""

    x: float
    y: float
    heading_rad: float

    def beside(self, distance: float) -> tuple[float, float]:
        """A point so far to the left of travel: outside the loop on both runs."""
        return (
            self.x - distance * math.sin(self.heading_rad),
            self.y + distance * math.cos(self.heading_rad),
        )


@dataclass(frozen=True)
class Straight:
    start_m: float
    end_m: float
    start: Spot
    length: float

    def at(self, share: float) -> Spot:
        way = share * self.length
        heading = self.start.heading_rad
        return Spot(
            self.start.x + way * math.cos(heading), self.start.y + way * math.sin(heading), heading
        )


@dataclass(frozen=True)
class Arc:
    start_m: float
    end_m: float
    wheel: Wheel
    from_rad: float
    sweep_rad: float

    def at(self, share: float) -> Spot:
        heading = self.from_rad + share * self.sweep_rad
        return touching(self.wheel, heading)


Piece = Straight | Arc


@dataclass(frozen=True)
class SidePath:
    """The closed line of the belt, in pieces that follow each other from loop position 0 on."""

    pieces: tuple[Piece, ...]
    length_m: float

    def at(self, position_m: float) -> Spot:
        place = position_m % self.length_m
        index = max(0, bisect_right(self._starts_m, place) - 1)
        piece = self.pieces[index]
        span = piece.end_m - piece.start_m
        share = min(1.0, (place - piece.start_m) / span) if span > 0 else 0.0
        return piece.at(share)

    @property
    def is_unbroken(self) -> bool:
        """Whether every piece begins where the one before it ends."""
        ends = ((one.at(1.0), other.at(0.0)) for one, other in pairwise(self.pieces))
        return all(math.dist((a.x, a.y), (b.x, b.y)) < _NO_JUMP for a, b in ends)

    @cached_property
    def _starts_m(self) -> list[float]:
        return [piece.start_m for piece in self.pieces]


def touching(wheel: Wheel, heading_rad: float) -> Spot:
    """Where a belt of this direction touches the wheel."""
    return Spot(
        wheel.x + wheel.turn * wheel.radius * math.sin(heading_rad),
        wheel.y - wheel.turn * wheel.radius * math.cos(heading_rad),
        heading_rad,
    )


def run_belt(wheels: Sequence[Wheel], length_m: float) -> SidePath:
    """Lay a belt round the wheels.

    Parameters
    ----------
    wheels : sequence of Wheel
        In the order in which the belt meets them from loop position 0 on; the last one ends at
        the seam.
    length_m : float
        Length of the loop. [m]

    Returns
    -------
    SidePath
        Common tangents of wheels that follow each other, and the arcs between them.

    Notes
    -----
    The tangent from a wheel of radius r1 to one of r2 a distance d apart makes the angle
    asin((o2 r2 - o1 r1) / d) with their line of centres, o = +1 for counter-clockwise.
    """
    headings = [_tangent_heading(wheels[index - 1], wheel) for index, wheel in enumerate(wheels)]
    pieces: list[Piece] = []
    for index, wheel in enumerate(wheels):
        before = wheels[index - 1]
        start = touching(before, headings[index])
        end = touching(wheel, headings[index])
        start_m = 0.0 if index == 0 else before.to_m
        length = math.hypot(end.x - start.x, end.y - start.y)
        pieces.append(Straight(start_m, wheel.from_m, start, length))
        leaving = headings[(index + 1) % len(wheels)]
        sweep = _sweep(leaving - headings[index], wheel)
        pieces.append(Arc(wheel.from_m, wheel.to_m, wheel, headings[index], sweep))
    return SidePath(tuple(pieces), length_m)


def _tangent_heading(one: Wheel, other: Wheel) -> float:
    across, up = other.x - one.x, other.y - one.y
    apart = math.hypot(across, up)
    lean = other.turn * other.radius - one.turn * one.radius
    # Wheels drawn larger than they are can stand too close for a tangent; then centre to centre.
    angle = math.asin(lean / apart) if apart > abs(lean) else 0.0
    return math.atan2(up, across) - angle


def _sweep(change: float, wheel: Wheel) -> float:
    """The turn of the belt on a wheel: the right multiple of once round for its arc of contact."""
    wanted = wheel.turn * wheel.wrap_rad
    sweep = change + math.tau * round((wanted - change) / math.tau)
    # A belt that would leave the wheel before it has met it only passes by.
    return sweep if sweep * wheel.turn > 0 else 0.0
