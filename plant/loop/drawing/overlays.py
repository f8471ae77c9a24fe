"""What was seen and what is meant: the ribbon of offsets in its lane, and marks at places."""

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from plant.loop.drawing import strokes
from plant.loop.drawing.canvas import Canvas
from plant.loop.drawing.labels import Seat
from plant.loop.drawing.lane import Lane
from plant.loop.drawing.shapes import Mark, MarkKind, RibbonPoint, Shape, circle, stroke

# Over a longer way without a look nothing is claimed: the ribbon has a gap. Share of the loop.
_LONGEST_GAP = 0.2
# From here on an edge is about to touch; the ribbon's outline says so.
BEYOND = 0.8
_DRAWN_AT_MOST = 1.25
_WORTH_WORDS = 0.15
_WORDS_AT_MOST = 8


def draw_lane(canvas: Canvas) -> None:
    """The lane: a middle line where the belt is centred, and lines where its edge touches."""
    lane = canvas.lane
    if lane is None:
        return
    canvas.add(
        stroke(
            "lane-ground", strokes.line([*lane.edge(1.0), *reversed(lane.edge(-1.0))], closed=True)
        ),
        stroke("lane-limit", strokes.line(lane.edge(1.0)) + strokes.line(lane.edge(-1.0))),
        stroke("lane-middle", strokes.line(lane.edge(0.0))),
    )
    letter = canvas.layout.letter
    x, y = lane.spots[0].x, lane.spots[0].y
    for side, text in ((0.55, canvas.say("R")), (-0.55, canvas.say("L"))):
        height = y + side * lane.half - 0.36 * letter
        canvas.add(
            canvas.write("lane-side", text, [Seat(x - step, height) for step in (2, -9)], 0.84)
        )


def draw_ribbon(canvas: Canvas, points: Sequence[RibbonPoint]) -> None:
    lane = canvas.lane
    if lane is None or not points:
        return
    readings = sorted(points, key=lambda one: one.position_m % lane.length_m)
    for one, other in _neighbours(readings, lane.length_m):
        _draw_between(canvas, lane, one, other)
    for reading in readings:
        _draw_reading(canvas, lane, reading)
    _write_readings(canvas, lane, readings)


def draw_marks(canvas: Canvas, marks: Sequence[Mark]) -> None:
    """A pin from the belt outward, its head and words beyond everything else."""
    letter = canvas.layout.letter
    for mark in sorted(marks, key=lambda one: one.position_m):
        spot = canvas.view.path.at(mark.position_m)
        reach = canvas.outside + 2.6 * letter
        head_x, head_y = spot.beside(reach)
        foot = (spot.x, spot.y)
        kind = mark.kind if mark.kind in set(MarkKind) else "other"
        pin = stroke("pin", strokes.line([foot, (head_x, head_y)]))
        name = canvas.write("mark-name", mark.label, _mark_seats(canvas, head_x, head_y), 0.94)
        shapes = [pin, circle("pin-foot", spot.x, -spot.y, 3.2), *_head(kind, head_x, head_y), name]
        canvas.add(*shapes, look=f"mark {kind}", label=mark.label, href=mark.href)


def _neighbours(
    readings: Sequence[RibbonPoint], length_m: float
) -> Iterable[tuple[RibbonPoint, RibbonPoint]]:
    """Readings that follow each other closely enough to be joined, over the seam too."""
    if len(readings) < 2:
        return
    for one, other in pairwise([*readings, readings[0]]):
        if (other.position_m - one.position_m) % length_m <= _LONGEST_GAP * length_m:
            yield one, other


def _drawn(share: float) -> float:
    return max(-_DRAWN_AT_MOST, min(_DRAWN_AT_MOST, share))


def _draw_between(canvas: Canvas, lane: Lane, one: RibbonPoint, other: RibbonPoint) -> None:
    from_m = one.position_m % lane.length_m
    gap = (other.position_m - one.position_m) % lane.length_m
    places = [from_m, *_corners(lane, from_m, from_m + gap), from_m + gap]
    shares = [
        _drawn(one.offset_share + (other.offset_share - one.offset_share) * (place - from_m) / gap)
        if gap
        else _drawn(one.offset_share)
        for place in places
    ]
    edge = [lane.offset(place, share) for place, share in zip(places, shares, strict=True)]
    middle = [lane.offset(place, 0.0) for place in reversed(places)]
    canvas.add(
        stroke("ribbon", strokes.line([*edge, *middle], closed=True)),
        stroke("ribbon-edge", strokes.line(edge)),
    )
    if min(abs(one.offset_share), abs(other.offset_share)) >= BEYOND:
        canvas.add(stroke("ribbon-beyond", strokes.line(edge)))


def _corners(lane: Lane, from_m: float, to_m: float) -> list[float]:
    """The lane's corners from one place to another, over the seam too."""
    length = lane.length_m
    within = lane.corners_between(from_m, min(to_m, length))
    over = [place + length for place in lane.positions if place < to_m - length]
    return within + over


def _draw_reading(canvas: Canvas, lane: Lane, reading: RibbonPoint) -> None:
    x, y = lane.offset(reading.position_m, _drawn(reading.offset_share))
    is_beyond = abs(reading.offset_share) >= BEYOND
    foot = lane.offset(reading.position_m, 0.0)
    canvas.add(
        stroke("reading-stem", strokes.line([foot, (x, y)])),
        circle("reading beyond" if is_beyond else "reading", x, -y, 3.4 if is_beyond else 2.4),
        circle("touch", x, -y, 9.0) if reading.href else None,
        look="station",
        label=reading.label,
        href=reading.href,
    )


def _write_readings(canvas: Canvas, lane: Lane, readings: Sequence[RibbonPoint]) -> None:
    """Words at the largest readings, as far as there is room: nobody has to know the colour."""
    worth = [one for one in readings if abs(one.offset_share) >= _WORTH_WORDS and one.label]
    worth.sort(key=lambda one: -abs(one.offset_share))
    for reading in worth[:_WORDS_AT_MOST]:
        look = "reading-words beyond" if abs(reading.offset_share) >= BEYOND else "reading-words"
        seats = _reading_seats(canvas, lane, reading)
        canvas.add(canvas.write(look, reading.label, seats, 0.88))


def _reading_seats(canvas: Canvas, lane: Lane, reading: RibbonPoint) -> Iterable[Seat]:
    letter = canvas.layout.letter
    spot = lane.at(reading.position_m)
    up = 1.0 if math.cos(spot.heading_rad) > -0.2 else -1.0
    for lines in (1.6, 2.6, 3.6):
        x, y = spot.beside(lane.half + lines * letter)
        for shift in (0.0, -2.5, 2.5):
            yield Seat(x + shift * letter, y - (0.2 if up > 0 else 0.6) * letter)


def _mark_seats(canvas: Canvas, x: float, y: float) -> Iterable[Seat]:
    letter = canvas.layout.letter
    low = y - 0.34 * letter
    yield Seat(x + 0.9 * letter, low, "start")
    yield Seat(x - 0.9 * letter, low, "end")
    for step in (1.2, 2.2, 3.2):
        for way in (1, -1):
            yield Seat(x + 0.9 * letter, low + way * step * letter, "start")
            yield Seat(x - 0.9 * letter, low + way * step * letter, "end")


def _head(kind: str, x: float, y: float) -> list[Shape]:
    """Each kind has a form of its own, so that nobody has to see the colour."""
    size = 6.0
    if kind == MarkKind.ONSET:
        points = [(x - size, y + size), (x + size, y + size), (x, y - size)]
        return [stroke("pin-head", strokes.line(points, closed=True))]
    if kind == MarkKind.SUSPECTED:
        return [circle("pin-head", x, -y, size), circle("pin-eye", x, -y, size / 2.4)]
    if kind == MarkKind.CASE:
        points = [(x, y + size + 1), (x + size + 1, y), (x, y - size - 1), (x - size - 1, y)]
        return [stroke("pin-head", strokes.line(points, closed=True))]
    points = [
        (x - size, y - size),
        (x + size, y - size),
        (x + size, y + size),
        (x - size, y + size),
    ]
    return [stroke("pin-head", strokes.line(points, closed=True))]
