"""A stretch of the loop drawn larger: which part of the drawing is shown, and how large.

What stands beside the stretch on the other strand is shown as well: a person who stands there sees
both.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from plant.loop.drawing.ground import Ground
from plant.loop.drawing.side_view import Frame, SideView

# A stretch shorter than this on the plan is shown with what is around it. [m]
LEAST_M = 6.0
# Share of the width that the stretch itself takes.
_FILLED = 0.84
_SAMPLES = 32
# Pulleys are drawn so many times larger, and further apart.
_LARGER, _LARGER_END, _SHORTEST, _LONGEST = 1.5, 1.3, 26.0, 120.0


@dataclass(frozen=True)
class Stretch:
    """From one loop position to another in the direction of travel, over the seam too. [m]"""

    from_m: float
    to_m: float

    def length_m(self, loop_length_m: float) -> float:
        return (self.to_m - self.from_m) % loop_length_m or loop_length_m

    def places(self, loop_length_m: float) -> list[float]:
        """Loop positions spread over the stretch. [m]"""
        length_m = self.length_m(loop_length_m)
        return [
            (self.from_m + length_m * step / _SAMPLES) % loop_length_m
            for step in range(_SAMPLES + 1)
        ]

    def resized(self, factor: float, loop_length_m: float) -> "Stretch | None":
        """So many times as long about its middle; None when that is half the loop or more."""
        length_m = self.length_m(loop_length_m)
        wanted_m = max(LEAST_M, factor * length_m)
        if wanted_m >= loop_length_m / 2:
            return None
        from_m = (self.from_m + (length_m - wanted_m) / 2) % loop_length_m
        return Stretch(from_m, (from_m + wanted_m) % loop_length_m)

    def moved(self, share: float, loop_length_m: float) -> "Stretch":
        """On by a share of its own length in the direction of travel, back when negative."""
        by_m = share * self.length_m(loop_length_m)
        return Stretch((self.from_m + by_m) % loop_length_m, (self.to_m + by_m) % loop_length_m)


@dataclass(frozen=True)
class Window:
    """What is shown of the drawing, from left to right."""

    left: float
    right: float

    def shows(self, x: float, reach: float = 0.0) -> bool:
        return self.left <= x + reach and x - reach <= self.right

    def along_m(self, ground: Ground) -> tuple[float, float]:
        """The same on the structure, inside the conveyor. [m]"""
        first, last = ground.along_m[0], ground.along_m[-1]
        found = (ground.along_at(self.left), ground.along_at(self.right))
        return max(found[0], first), min(found[1], last)


def enlarged(
    stretch: Stretch, view: SideView, frame: Frame, lay: Callable[[Frame], SideView], margin: float
) -> tuple[SideView, Window]:
    """Lay the loop out so large that the stretch fills the width.

    Parameters
    ----------
    stretch : Stretch
    view, frame : SideView, Frame
        The whole loop and its frame.
    lay : callable
        Lays the loop out in another frame.
    margin : float
        What stands beyond the ends of the frame.
    """
    width = frame.width + 2 * margin
    first, last = _along(stretch, view)
    half = max(last - first, LEAST_M) / 2
    middle = (first + last) / 2
    length_m = view.ground.along_m[-1]
    large = replace(
        frame,
        width=max(frame.width, length_m * _FILLED * width / (2 * half)),
        shown_m=(max(0.0, middle - half), min(length_m, middle + half)),
        end_radius=_LARGER_END * frame.end_radius,
        least_radius=_LARGER * frame.least_radius,
        most_radius=_LARGER * frame.most_radius,
        leg=_LARGER * frame.leg,
        shortest=_SHORTEST,
        longest=_LONGEST,
    )
    margin += large.end_radius - frame.end_radius
    found = lay(large)
    low, high = _across(stretch, found)
    room = max(width, (high - low) / _FILLED)
    # Nothing is shown beyond the conveyor's ends as long as there is something on the other side.
    left = min(max((low + high - room) / 2, -margin), large.width + margin - room)
    return found, Window(left, left + room)


def _along(stretch: Stretch, view: SideView) -> tuple[float, float]:
    """True distances: on the whole drawing crowded pulleys stand apart from their places."""
    places = [view.along_m(place) for place in stretch.places(view.path.length_m)]
    length_m = view.ground.along_m[-1]
    return max(0.0, min(places)), min(length_m, max(places))


def _across(stretch: Stretch, view: SideView) -> tuple[float, float]:
    xs = [view.path.at(place).x for place in stretch.places(view.path.length_m)]
    return min(xs), max(xs)
