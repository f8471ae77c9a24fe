"""The height of the carrying run along the belt: a line through surveyed points.

Positions are loop positions on the carrying run, from the tail's leaving tangent on; heights are
above any level of the plant's own, upward positive. Between two points the run is straight; before
the first and after the last it goes on level.
"""

import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

# Nearer to each other than this two points are one; tape measures tell no less.
LEAST_APART_M = 0.01
# More than any drawing can show; engineering judgement.
MOST_POINTS = 200
HIGHEST_M = 9000.0
LONGEST_M = 100_000.0


class ProfileError(ValueError):
    """What cannot be a profile; `row` counts from 1, `code` says why."""

    def __init__(self, code: str, row: int) -> None:
        super().__init__(f"point {row}: {code}")
        self.code, self.row = code, row


@dataclass(frozen=True)
class ProfilePoint:
    position_m: float
    height_m: float


@dataclass(frozen=True)
class Profile:
    """Points by rising position; build it with `profile_of` or `profile_of_levels`."""

    points: tuple[ProfilePoint, ...]

    @property
    def rise_m(self) -> float:
        """Height of the last point above the first. [m]"""
        return self.points[-1].height_m - self.points[0].height_m

    @property
    def range_m(self) -> float:
        """From the lowest point to the highest. [m]"""
        heights = [one.height_m for one in self.points]
        return max(heights) - min(heights)

    @property
    def end_m(self) -> float:
        return self.points[-1].position_m

    @cached_property
    def across_m(self) -> tuple[float, ...]:
        """Horizontal distance of each point from loop position 0. [m]"""
        found = [self.points[0].position_m]
        for one, other in pairwise(self.points):
            along, up = other.position_m - one.position_m, other.height_m - one.height_m
            found.append(found[-1] + math.sqrt(max(0.0, along**2 - up**2)))
        return tuple(found)

    @property
    def steepest_rad(self) -> float:
        """The steepest stretch, downhill counted as uphill. [rad]"""
        return max((abs(slope) for slope in self.slopes_rad), default=0.0)

    @property
    def slopes_rad(self) -> tuple[float, ...]:
        """The slope of each stretch between two points, uphill positive. [rad]"""
        return tuple(
            math.asin((other.height_m - one.height_m) / (other.position_m - one.position_m))
            for one, other in pairwise(self.points)
        )

    def height_at(self, position_m: float) -> float:
        """The height of the run at a place. [m]"""
        places = [one.position_m for one in self.points]
        return _between(position_m, places, [one.height_m for one in self.points])

    def horizontal_at(self, position_m: float) -> float:
        """How far a place lies from loop position 0 on a plan of the plant. [m]"""
        first, last = self.points[0], self.points[-1]
        if position_m <= first.position_m:
            return position_m
        if position_m >= last.position_m:
            return self.across_m[-1] + position_m - last.position_m
        places = [one.position_m for one in self.points]
        return _between(position_m, places, self.across_m)


def profile_of(points: Iterable[tuple[float, float]]) -> Profile:
    """Check points of loop position and height.

    Parameters
    ----------
    points : iterable of (float, float)
        Loop position and height of each. [m]

    Raises
    ------
    ProfileError
        Fewer than two points, too many, not finite, off the run, not in rising order, or higher
        above each other than the belt between them is long.
    """
    found = tuple(ProfilePoint(float(at), float(height)) for at, height in points)
    _check_each(found)
    for row, (one, other) in enumerate(pairwise(found), start=2):
        along = other.position_m - one.position_m
        if abs(other.height_m - one.height_m) >= along:
            raise ProfileError("steeper_than_upright", row)
    return Profile(found)


def profile_of_levels(levels: Iterable[tuple[float, float]]) -> Profile:
    """The same of a survey, which measures distances horizontally.

    Notes
    -----
    Along the belt a stretch is sqrt(across^2 + up^2) long.
    """
    found = [ProfilePoint(float(across), float(height)) for across, height in levels]
    _check_each(found)
    at_m = found[0].position_m
    points = [(at_m, found[0].height_m)]
    for one, other in pairwise(found):
        at_m += math.hypot(other.position_m - one.position_m, other.height_m - one.height_m)
        points.append((round(at_m, 3), other.height_m))
    return profile_of(points)


def kept_profile(pairs: Sequence[Sequence[float]]) -> Profile | None:
    """The profile of pairs as they are kept; None where there is none."""
    return Profile(tuple(ProfilePoint(at, height) for at, height in pairs)) if pairs else None


def _check_each(points: Sequence[ProfilePoint]) -> None:
    if len(points) < 2:
        raise ProfileError("too_few", len(points) or 1)
    if len(points) > MOST_POINTS:
        raise ProfileError("too_many", MOST_POINTS + 1)
    for row, point in enumerate(points, start=1):
        if not (math.isfinite(point.position_m) and 0 <= point.position_m <= LONGEST_M):
            raise ProfileError("position_off_the_run", row)
        if not (math.isfinite(point.height_m) and abs(point.height_m) <= HIGHEST_M):
            raise ProfileError("height_off_the_earth", row)
    for row, (one, other) in enumerate(pairwise(points), start=2):
        if other.position_m - one.position_m < LEAST_APART_M:
            raise ProfileError("not_in_order", row)


def _between(at: float, places: Sequence[float], values: Sequence[float]) -> float:
    index = bisect_right(places, at)
    if index == 0:
        return values[0]
    if index == len(places):
        return values[-1]
    share = (at - places[index - 1]) / (places[index] - places[index - 1])
    return values[index - 1] + share * (values[index] - values[index - 1])
