"""The head of a pin: a form of its own for each kind of mark."""

from plant.loop.drawing import strokes
from plant.loop.drawing.shapes import MarkKind, Shape, circle, stroke

SIZE = 6.0
_TICK = ((-0.5, 0.0), (-0.1, -0.45), (0.55, 0.5))


def head_of(kind: str, x: float, y: float) -> list[Shape]:
    """Each kind has a form of its own, so that nobody has to see the colour."""
    size = SIZE
    if kind == MarkKind.ONSET:
        points = [(x - size, y + size), (x + size, y + size), (x, y - size)]
        return [stroke("pin-head", strokes.line(points, closed=True))]
    if kind == MarkKind.SUSPECTED:
        return [circle("pin-head", x, -y, size), circle("pin-eye", x, -y, size / 2.4)]
    if kind == MarkKind.CASE:
        points = [(x, y + size + 1), (x + size + 1, y), (x, y - size - 1), (x - size - 1, y)]
        return [stroke("pin-head", strokes.line(points, closed=True))]
    if kind == MarkKind.DUE:
        # An hourglass: its time runs out.
        points = [(x - size, y + size), (x + size, y + size), (x - size, y - size)]
        return [stroke("pin-head", strokes.line([*points, (x + size, y - size)], closed=True))]
    if kind == MarkKind.REPLACED:
        tick = [
            (x - 0.5 * size, y),
            (x - 0.1 * size, y - 0.45 * size),
            (x + 0.55 * size, y + 0.5 * size),
        ]
        return [circle("pin-head", x, -y, size), stroke("pin-tick", strokes.line(tick))]
    points = [
        (x - size, y - size),
        (x + size, y - size),
        (x + size, y + size),
        (x - size, y + size),
    ]
    return [stroke("pin-head", strokes.line(points, closed=True))]
