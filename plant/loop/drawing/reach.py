"""Where a finger meets what leads somewhere: as far as 22 units, and never over a neighbour."""

import math
from collections.abc import Sequence
from dataclasses import replace

from plant.loop.drawing.shapes import Form, Place, Shape, circle

# Half of the 44 pixels a finger needs, on a page that shows a unit as a pixel.
FINGER = 22.0
_LEAST = 9.0


def within_reach(places: Sequence[Place]) -> tuple[Place, ...]:
    """Give each linked place with a middle a ground as large as its neighbours allow."""
    middles = {index: _middle(place) for index, place in enumerate(places) if place.href}
    known = {index: at for index, at in middles.items() if at is not None}
    found = list(places)
    for index, (x, y) in known.items():
        nearest = min(
            (math.dist((x, y), at) for other, at in known.items() if other != index),
            default=math.inf,
        )
        radius = max(_LEAST, min(FINGER, nearest / 2))
        ground = circle("touch", x, y, radius)
        found[index] = replace(places[index], shapes=(ground, *_without_touch(places[index])))
    return tuple(found)


def _without_touch(place: Place) -> tuple[Shape, ...]:
    return tuple(shape for shape in place.shapes if shape.look != "touch")


def _middle(place: Place) -> tuple[float, float] | None:
    """The middle of a place: of its handle, else of its first circle; a whole group has none."""
    if place.handle:
        return place.handle
    for shape in place.shapes:
        if shape.form is Form.CIRCLE:
            return shape.x, shape.y
    return None
