"""What was computed, in the lane: a line in ink, beside the dots of what was seen."""

from collections.abc import Iterable
from itertools import pairwise

import numpy as np

from plant.loop.drawing import strokes
from plant.loop.drawing.canvas import Canvas
from plant.loop.drawing.lane import Lane
from plant.loop.drawing.overlays import drawn_share, write_peaks
from plant.loop.drawing.shapes import Curve, stroke

_Line = list[tuple[float, float]]


def draw_curve(canvas: Canvas, curve: Curve) -> None:
    """The line, and for the first of a drawing the ground between it and the middle."""
    lane = canvas.lane
    if lane is None or not curve.points:
        return
    for edge, middle in _pieces(lane, curve):
        ground = strokes.line([*edge, *reversed(middle)], closed=True)
        canvas.add(
            stroke("curve-ground", ground) if curve.is_filled else None,
            stroke("curve" if curve.is_filled else "curve-beside", strokes.line(edge)),
        )
    write_peaks(canvas, curve.points, "curve-words")


def _pieces(lane: Lane, curve: Curve) -> Iterable[tuple[_Line, _Line]]:
    """The curve and the lane's middle under it, cut where the lane breaks."""
    at = [one.position_m for one in curve.points]
    shares = [one.offset_share for one in curve.points]
    corners = sorted({*lane.positions, *at})
    for start_m, end_m in pairwise(sorted({0.0, *lane.breaks, lane.length_m})):
        places = [start_m, *(one for one in corners if start_m < one < end_m), end_m]
        spots = [lane.at(one, after=one == start_m) for one in places]
        # Over the seam too: the belt is closed.
        drawn = np.interp(places, at, shares, period=lane.length_m)
        edge = [
            spot.beside(drawn_share(float(share)) * lane.half)
            for spot, share in zip(spots, drawn, strict=True)
        ]
        yield edge, [(spot.x, spot.y) for spot in spots]
