"""The lane where there is no room to go round the loop: one strip above it and one below.

The upper strip belongs to the carrying run, the lower one to the return run; places stand above
and below where they are on the belt. Outside is right on both, as in the lane round the loop.
"""

import math
from collections.abc import Iterable, Iterator

from plant.loop.drawing.lane import Lane
from plant.loop.drawing.shown import Window
from plant.loop.drawing.side_path import Spot, Straight
from plant.loop.drawing.side_view import SideView

_OPEN = 18.0
_CLEAR = 8.0
# Enlarged, the sets of the return run have their names between it and the strip.
_NAMES = 16.0


def lane_in_strips(
    view: SideView, head_m: float, away: float, half: float, window: Window | None = None
) -> Lane:
    """Lay the two strips, parallel to the structure.

    Parameters
    ----------
    view : SideView
    head_m : float
        Where the carrying run ends. [m]
    away, half : float
        Distance of the upper strip's middle from the belt, and half the width of both.
    window : Window or None
        What is shown; pulleys beside it need no room.
    """
    ground = view.ground
    hanging = [
        wheel
        for group in view.hanging
        for wheel in group
        if window is None or window.shows(wheel.x, wheel.radius)
    ]
    wheels = view.wheels if window is None else hanging
    heights = (list(_belt_in(view, window)) if window else []) or [0.0]
    for wheel in wheels:
        middle = wheel.y - ground.rise_at(wheel.x)
        heights += [middle - wheel.radius, middle + wheel.radius]
    low, high = min(heights), max(heights)
    clear = _CLEAR if window is None else _CLEAR + _NAMES
    above, below = high + away, low - clear - half - (view.below if hanging else 0.0)
    upper = [
        (place, Spot(x, ground.rise_at(x) + above, ground.lean_at(x)))
        for place, x in _carrying(view, head_m)
    ]
    lower = [
        (place, Spot(x, ground.rise_at(x) + below, math.pi + ground.lean_at(x)))
        for place, x in _return(view, head_m)
    ]
    nodes = [*upper, *lower]
    return Lane(
        tuple(place for place, _ in nodes),
        tuple(spot for _, spot in nodes),
        half,
        view.path.length_m,
        breaks=(head_m, view.path.length_m),
    )


def _belt_in(view: SideView, window: Window) -> Iterator[float]:
    """Heights of the strands over the structure where they come into the window and leave it."""
    for piece in view.path.pieces:
        if not isinstance(piece, Straight) or abs(math.cos(piece.start.heading_rad)) < 0.3:
            continue
        start, end = piece.at(0.0), piece.at(1.0)
        for edge in (window.left, window.right, start.x, end.x):
            share = (edge - start.x) / (end.x - start.x) if end.x != start.x else 0.0
            spot = piece.at(min(max(share, 0.0), 1.0))
            if window.shows(spot.x, 1.0):
                yield spot.y - view.ground.rise_at(spot.x)


def _carrying(view: SideView, head_m: float) -> list[tuple[float, float]]:
    nodes = [(0.0, view.path.at(0.0).x)]
    for piece in _open_strands(view):
        if piece.end_m <= head_m and math.cos(piece.start.heading_rad) > 0:
            _go_on(nodes, piece, 1)
    return [*nodes, (head_m, view.path.at(head_m).x)]


def _return(view: SideView, head_m: float) -> list[tuple[float, float]]:
    nodes = [(head_m, view.path.at(head_m).x)]
    for piece in _open_strands(view):
        if piece.start_m >= head_m and math.cos(piece.start.heading_rad) < 0:
            _go_on(nodes, piece, -1)
    return [*nodes, (view.path.length_m, view.path.at(0.0).x)]


def _open_strands(view: SideView) -> Iterable[Straight]:
    return (
        piece
        for piece in view.path.pieces
        if isinstance(piece, Straight)
        and piece.length >= _OPEN
        and abs(math.cos(piece.start.heading_rad)) > 0.7
    )


def _go_on(nodes: list[tuple[float, float]], piece: Straight, way: int) -> None:
    """Add the strand's two ends, never going back on the drawing."""
    for place, spot in ((piece.start_m, piece.at(0.0)), (piece.end_m, piece.at(1.0))):
        last_x = nodes[-1][1]
        nodes.append((place, max(last_x, spot.x) if way > 0 else min(last_x, spot.x)))
