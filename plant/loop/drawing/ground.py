"""The line of the conveyor's structure on the drawing: how far along, how high, and where it bends.

Everything is laid out level first; then each pulley and each strand is lifted by the height of the
structure where it stands, on both runs, so that what hangs stays plumb.
"""

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from plant.loop.profile import Profile

# The largest plain factor is taken that keeps the heights inside the frame.
_FACTORS = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1)
# No stretch is drawn steeper than that, unless it is: rise over run.
_STEEPEST = 0.6
# Corners nobody would see are left out.
_SEEN = 0.5

_Node = tuple[float, float, float]


@dataclass(frozen=True)
class Ground:
    """Corners of the structure's line, by rising distance; beyond the ends it goes straight on.

    Attributes
    ----------
    along_m : tuple of float
        Distance along the structure from the tail. [m]
    xs, ys : tuple of float
        The same corners on the drawing, y upward.
    heights_drawn : float
        How many times larger than lengths the heights are drawn; 1 for a level conveyor.
    is_surveyed : bool
        Heights come from a profile; otherwise the lift is spread evenly.
    """

    along_m: tuple[float, ...]
    xs: tuple[float, ...]
    ys: tuple[float, ...]
    heights_drawn: float
    is_surveyed: bool

    @property
    def scale(self) -> float:
        """Drawing units a metre of the structure, on the whole. [1/m]"""
        return self.xs[-1] / self.along_m[-1]

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """Where it bends, as x and distance along [m]; the ends are no corners."""
        return tuple(zip(self.xs, self.along_m, strict=True))[1:-1]

    def x_at(self, along_m: float) -> float:
        return _straight_on(along_m, self.along_m, self.xs)

    def along_at(self, x: float) -> float:
        return _straight_on(x, self.xs, self.along_m)

    def rise_at(self, x: float) -> float:
        return _straight_on(x, self.xs, self.ys)

    def lean_at(self, x: float) -> float:
        """The direction of the line; on a corner that of the middle between both sides. [rad]"""
        return math.atan2(self.rise_at(x + 1) - self.rise_at(x - 1), 2.0)


def even_ground(
    length_m: float,
    width: float,
    lift_m: float,
    rise: float,
    shown_m: tuple[float, float] | None = None,
) -> Ground:
    """A straight incline; of `shown_m`, or of the whole, the heights stay within `rise`."""
    scale = width / length_m
    first_m, last_m = shown_m or (0.0, length_m)
    factor = heights_drawn(abs(lift_m) * scale * (last_m - first_m) / length_m, rise)
    return Ground((0.0, length_m), (0.0, width), (0.0, factor * lift_m * scale), factor, False)


def surveyed_ground(
    profile: Profile,
    length_m: float,
    width: float,
    rise: float,
    shown_m: tuple[float, float] | None = None,
) -> Ground:
    """True along the plan; of `shown_m`, or of the whole, the heights stay within `rise`."""
    scale = width / profile.horizontal_at(length_m)
    first_m, last_m = shown_m or (0.0, length_m)
    places = [one.position_m for one in profile.points if 0 < one.position_m < length_m]
    seen = [first_m, last_m, *(at for at in places if first_m < at < last_m)]
    heights = [profile.height_at(at) for at in seen]
    steepest = math.tan(profile.steepest_rad)
    factor = heights_drawn((max(heights) - min(heights)) * scale, rise)
    factor = min(factor, max(1.0, heights_drawn(steepest, _STEEPEST)))
    start_m = profile.height_at(0.0)
    nodes = [
        (at, profile.horizontal_at(at) * scale, factor * scale * (profile.height_at(at) - start_m))
        for at in (0.0, *places, length_m)
    ]
    along_m, xs, ys = zip(*_without_the_unseen(nodes), strict=True)
    return Ground(along_m, xs, ys, factor, True)


def heights_drawn(true_rise: float, rise: float) -> float:
    if true_rise < 1e-9:
        return 1.0
    return next((one for one in _FACTORS if one * true_rise <= rise), rise / true_rise)


def _without_the_unseen(nodes: Sequence[_Node]) -> list[_Node]:
    """Leave out corners that lie on the line of their neighbours (Ramer, Douglas and Peucker)."""
    kept = {0, len(nodes) - 1}
    open_ends = [(0, len(nodes) - 1)]
    while open_ends:
        first, last = open_ends.pop()
        (_, x0, y0), (_, x1, y1) = nodes[first], nodes[last]
        across = math.hypot(x1 - x0, y1 - y0) or 1.0
        aways = [
            (abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / across, index)
            for index, (_, x, y) in enumerate(nodes[first + 1 : last], start=first + 1)
        ]
        away, index = max(aways, default=(0.0, first))
        if away > _SEEN:
            kept.add(index)
            open_ends += [(first, index), (index, last)]
    chosen = [nodes[index] for index in sorted(kept)]
    # Two corners at one place of the plan are none: the run there would be upright.
    return [one for one, other in pairwise(chosen) if other[1] > one[1] + 0.01] + chosen[-1:]


def _straight_on(at: float, places: Sequence[float], values: Sequence[float]) -> float:
    index = min(max(1, bisect_right(places, at)), len(places) - 1)
    share = (at - places[index - 1]) / (places[index] - places[index - 1])
    return values[index - 1] + share * (values[index] - values[index - 1])
