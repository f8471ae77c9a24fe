"""What rides on the belt, where it is at one instant: splices and belt marks."""

import math
from collections.abc import Iterable, Sequence

from plant.loop.drawing import strokes
from plant.loop.drawing.canvas import Canvas
from plant.loop.drawing.labels import Seat
from plant.loop.drawing.shapes import Rider, Shape, stroke

_HALF = 6.5
_LEAN = 3.0


def draw_riders(canvas: Canvas, riders: Sequence[Rider]) -> None:
    """A splice as a slanting cut through the belt, a mark as a cross on it or a line along it."""
    for rider in sorted(riders, key=lambda one: not one.is_splice):
        if not canvas.shows(rider.position_m):
            continue
        look = "splice" if rider.is_splice else "belt-mark"
        canvas.add(
            *(_cut(canvas, rider) if rider.is_splice else _mark(canvas, rider)),
            canvas.write(f"{look}-name", rider.name, _seats(canvas, rider), 0.88),
            look=f"rider rides-{look}",
            label=rider.label,
            href=rider.href,
            at_m=rider.position_m,
            handle=canvas.beside(rider.position_m, 0.0),
        )


def _cut(canvas: Canvas, rider: Rider) -> Iterable[Shape]:
    """Two strokes, slanting as the cut of a splice does."""
    spot = canvas.view.path.at(rider.position_m)
    data = ""
    for along in (-2.0, 2.0):
        ends = [
            (
                spot.x + (along + way * _LEAN) * math.cos(spot.heading_rad) - side[0],
                spot.y + (along + way * _LEAN) * math.sin(spot.heading_rad) + side[1],
            )
            for way in (-1.0, 1.0)
            for side in [
                (
                    way * _HALF * math.sin(spot.heading_rad),
                    way * _HALF * math.cos(spot.heading_rad),
                )
            ]
        ]
        data += strokes.line(ends)
    yield stroke("splice-ground", data)
    yield stroke("splice", data)


def _mark(canvas: Canvas, rider: Rider) -> Iterable[Shape]:
    if rider.length_m:
        steps = max(2, min(24, int(rider.length_m)))
        places = [rider.position_m + rider.length_m * step / steps for step in range(steps + 1)]
        yield stroke("belt-mark-length", strokes.line(canvas.beside(at, 4.5) for at in places))
    x, y = canvas.beside(rider.position_m, 0.0)
    arms = ((-4.5, -4.5, 4.5, 4.5), (-4.5, 4.5, 4.5, -4.5))
    data = "".join(strokes.line([(x + a, y + b), (x + c, y + d)]) for a, b, c, d in arms)
    yield stroke("belt-mark-ground", data)
    yield stroke("belt-mark", data)


def _seats(canvas: Canvas, rider: Rider) -> Iterable[Seat]:
    """Outside the belt, else inside, else further out."""
    letter = canvas.layout.letter
    for away in (10.0, -15.0, 10.0 + letter, -15.0 - letter, 10.0 + 2 * letter):
        x, y = canvas.beside(rider.position_m, away)
        is_above = y > canvas.beside(rider.position_m, 0.0)[1]
        low = y if is_above else y - 0.7 * letter
        for anchor in ("middle", "start", "end"):
            yield Seat(x, low, anchor)
