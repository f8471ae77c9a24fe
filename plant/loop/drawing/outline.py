"""The belt path as points, for whoever draws a stretch of it: a phone, say, that has no signal."""

from dataclasses import dataclass

from plant.loop.drawing.side_view import Frame, side_view
from plant.loop.path import Loop

# Sizes in drawing units; see `Frame`.
_FRAME = Frame(
    width=1000, end_radius=40, least_radius=14, most_radius=26, leg=60, rise=120, apart=30
)
# Points along the whole path, and on every pulley's arc.
_ALONG, _ON_ARC = 160, 6


@dataclass(frozen=True)
class Outline:
    """The belt path in side view, tail left, y downwards.

    Attributes
    ----------
    at_m : tuple of float
        Loop position of each point, from 0, increasing. [m]
    points : tuple of (float, float)
        In drawing units.
    """

    at_m: tuple[float, ...]
    points: tuple[tuple[float, float], ...]


def outline_of(loop: Loop, *, lift_m: float = 0.0) -> Outline:
    """Points along the belt in the direction of travel, closer together round the pulleys."""
    path = side_view(loop, _FRAME, lift_m=lift_m).path
    places = {loop.length_m * step / _ALONG for step in range(_ALONG)}
    for pulley in loop.pulleys:
        arc = (pulley.first_m + pulley.arc_m * step / _ON_ARC for step in range(_ON_ARC + 1))
        places.update(place % loop.length_m for place in arc)
    at_m = sorted({round(place, 2) for place in places if place < loop.length_m})
    spots = [path.at(place) for place in at_m]
    return Outline(tuple(at_m), tuple((round(one.x, 1), round(-one.y, 1)) for one in spots))
