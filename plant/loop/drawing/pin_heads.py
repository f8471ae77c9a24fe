"""The head of a pin: a form of its own for each kind of mark."""

import math

from plant.loop.drawing import strokes
from plant.loop.drawing.shapes import Mark, MarkKind, Shape, circle, stroke, words

_SIZE = 6.0
# A head that counts has room for its number, and its ground grows with it up to a limit.
_COUNTING = frozenset({MarkKind.HAPPENED, MarkKind.CAME_BACK})
_COUNT_SIZE, _GROWS, _LARGEST = 6.5, 2.2, 15.0
_DIGIT_DROP = 3.7


def head_size(mark: Mark) -> float:
    """How far a head reaches from its middle."""
    if mark.kind not in _COUNTING:
        return _SIZE
    size = min(_LARGEST, _COUNT_SIZE + _GROWS * math.sqrt(max(1, mark.count)))
    # A diamond narrows above and below its number.
    return size + 2.5 if mark.kind == MarkKind.CAME_BACK else size


def head_of(mark: Mark, x: float, y: float) -> list[Shape]:
    """Each kind has a form of its own, so that nobody has to see the colour."""
    kind, size = mark.kind, head_size(mark)
    if kind in _COUNTING:
        return [
            *_counting_head(kind, x, y, size),
            words("pin-count", x, -y + _DIGIT_DROP, str(mark.count)),
        ]
    if kind == MarkKind.ONSET:
        points = [(x - size, y + size), (x + size, y + size), (x, y - size)]
        return [stroke("pin-head", strokes.line(points, closed=True))]
    if kind == MarkKind.SUSPECTED:
        return [circle("pin-head", x, -y, size), circle("pin-eye", x, -y, size / 2.4)]
    if kind == MarkKind.CASE:
        return [stroke("pin-head", _diamond(x, y, size + 1))]
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


def _counting_head(kind: str, x: float, y: float, size: float) -> list[Shape]:
    """A ring, or a diamond in a second line where something came back."""
    if kind == MarkKind.HAPPENED:
        return [circle("pin-head", x, -y, size)]
    return [stroke("pin-head", _diamond(x, y, size)), stroke("pin-inner", _diamond(x, y, size - 3))]


def _diamond(x: float, y: float, size: float) -> str:
    points = [(x, y + size), (x + size, y), (x, y - size), (x - size, y)]
    return strokes.line(points, closed=True)
