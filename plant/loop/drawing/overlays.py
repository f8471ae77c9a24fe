"""What was seen and what is meant: the ribbon of offsets in its lane, and marks at places."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from plant.loop.drawing import strokes
from plant.loop.drawing.canvas import Canvas
from plant.loop.drawing.labels import Box, Seat, text_box
from plant.loop.drawing.lane import Lane
from plant.loop.drawing.pin_heads import head_of, head_size
from plant.loop.drawing.shapes import Mark, MarkKind, RibbonPoint, circle, stroke
from plant.loop.drawing.side_path import Spot

# Over a longer way without a look nothing is claimed: the ribbon has a gap. Share of the loop.
_LONGEST_GAP = 0.2
# From here on an edge is about to touch; the ribbon's outline says so.
BEYOND = 0.8
_DRAWN_AT_MOST = 1.25
_OFF_CENTRE = 0.15
_WORDS_AT_MOST = 8
_SIDES = 0.84
# Shares of what is shown of the carrying run at which R and L are tried.
_COMES_IN = (0.05, 0.08, 0.12, 0.16, 0.2, 0.3)
# A reading on its ribbon, and one that stands out: about to touch, or beside a computed line.
_DOT, _LONE_DOT = 2.4, 3.4


def draw_lane(canvas: Canvas) -> None:
    """The lane: a middle line where the belt is centred, and lines where its edge touches."""
    lane = canvas.lane
    if lane is None:
        return
    outer, inner, middle = lane.edges(1.0), lane.edges(-1.0), lane.edges(0.0)
    ground = "".join(
        strokes.line([*one, *reversed(other)], closed=True)
        for one, other in zip(outer, inner, strict=True)
    )
    canvas.add(
        stroke("lane-ground", ground),
        stroke("lane-limit", "".join(strokes.line(one) for one in (*outer, *inner))),
        stroke("lane-middle", "".join(strokes.line(one) for one in middle)),
    )
    for spots in _beginnings(canvas, lane):
        _write_sides(canvas, lane, spots)


def _beginnings(canvas: Canvas, lane: Lane) -> Sequence[Sequence[Spot]]:
    """Where the lane begins, and in strips the other one ends; enlarged, near where it comes in."""
    if not canvas.stretch:
        return [[spot] for spot in (lane.spots[0], lane.spots[-1])[: 1 + len(lane.breaks)]]
    first_m, last_m = canvas.carrying_m
    return [[lane.at(first_m + share * (last_m - first_m)) for share in _COMES_IN]]


def _write_sides(canvas: Canvas, lane: Lane, spots: Sequence[Spot]) -> None:
    """R and L at the first place with room for both; in strips before their beginning."""
    tried = [_sides(canvas, lane, spot) for spot in spots]
    size = _SIDES * canvas.layout.letter

    def is_free(sides: list[tuple[str, list[Seat]]]) -> bool:
        return all(canvas.labels.is_free(text_box(text, seats[0], size)) for text, seats in sides)

    for text, seats in next((sides for sides in tried if is_free(sides)), tried[0]):
        canvas.add(canvas.write("lane-side", text, seats, _SIDES))


def _sides(canvas: Canvas, lane: Lane, spot: Spot) -> list[tuple[str, list[Seat]]]:
    letter, found = canvas.layout.letter, []
    for share, text in ((0.55, canvas.say("R")), (-0.55, canvas.say("L"))):
        x, y = spot.beside(share * lane.half)
        low = y - 0.36 * letter
        is_before = lane.breaks and not canvas.stretch
        inside = [Seat(x + 2, low), Seat(x - 9, low)]
        found.append((text, [Seat(x - 6, low, "end")] if is_before else inside))
    return found


def draw_ribbon(canvas: Canvas, points: Sequence[RibbonPoint], *, is_joined: bool = True) -> None:
    """The readings, joined to a ribbon unless something else is drawn between them."""
    lane = canvas.lane
    if lane is None or not points:
        return
    readings = sorted(points, key=lambda one: one.position_m % lane.length_m)
    for one, other in _neighbours(readings, lane.length_m) if is_joined else ():
        _draw_between(canvas, lane, one, other)
    readings = [one for one in readings if canvas.shows(one.position_m)]
    for reading in readings:
        _draw_reading(canvas, lane, reading, _DOT if is_joined else _LONE_DOT)
    write_peaks(canvas, readings, "reading-words")


@dataclass(frozen=True)
class Pin:
    """A mark with its foot on the belt and its head beyond everything else."""

    mark: Mark
    foot: Spot
    head_x: float
    head_y: float


def place_pins(canvas: Canvas, marks: Sequence[Mark]) -> list[Pin]:
    """Find room for all pins before the first word is written: no pin goes through a word."""
    pins = []
    for mark in sorted(marks, key=lambda one: one.position_m):
        if not canvas.shows(mark.position_m):
            continue
        foot = canvas.view.path.at(mark.position_m)
        x, y = _pin_head(canvas, canvas.outside(mark.position_m), head_size(mark))
        pins.append(Pin(mark, foot, x, y))
    for pin in pins:
        canvas.take_line([(pin.foot.x, pin.foot.y), (pin.head_x, pin.head_y)])
    return pins


def draw_pins(canvas: Canvas, pins: Sequence[Pin]) -> None:
    for pin in pins:
        mark, foot, x, y = pin.mark, pin.foot, pin.head_x, pin.head_y
        kind = mark.kind if mark.kind in set(MarkKind) else "other"
        shapes = [
            stroke("pin", strokes.line([(foot.x, foot.y), (x, y)])),
            circle("pin-foot", foot.x, -foot.y, 3.2),
            *head_of(mark, x, y),
            canvas.write("mark-name", mark.label, _mark_seats(canvas, x, y, head_size(mark)), 0.94),
        ]
        canvas.add(
            *shapes,
            look=f"pinned pinned-{kind}",
            label=mark.says or mark.label,
            href=mark.href,
            at_m=mark.position_m,
            handle=(x, y),
        )


def _pin_head(canvas: Canvas, spot: Spot, size: float) -> tuple[float, float]:
    """As near to the belt as no other head or word stands yet."""
    letter, reach = canvas.layout.letter, size + 2
    for step in range(6):
        x, y = spot.beside((1.6 + 1.5 * step) * letter)
        # Beside the head pulley of a narrow drawing there may be less room than a head takes.
        x = max(canvas.labels.left + reach, min(canvas.labels.right - reach, x))
        room = Box(x - reach, -y - reach, x + reach, reach - y)
        if canvas.labels.is_free(room):
            break
    canvas.labels.take(room)
    return x, y


def _neighbours(
    readings: Sequence[RibbonPoint], length_m: float
) -> Iterable[tuple[RibbonPoint, RibbonPoint]]:
    """Readings that follow each other closely enough to be joined, over the seam too."""
    if len(readings) < 2:
        return
    for one, other in pairwise([*readings, readings[0]]):
        if (other.position_m - one.position_m) % length_m <= _LONGEST_GAP * length_m:
            yield one, other


def drawn_share(share: float) -> float:
    """As far out as an offset is drawn, however large it is."""
    return max(-_DRAWN_AT_MOST, min(_DRAWN_AT_MOST, share))


def _draw_between(canvas: Canvas, lane: Lane, one: RibbonPoint, other: RibbonPoint) -> None:
    from_m = one.position_m % lane.length_m
    gap = (other.position_m - one.position_m) % lane.length_m
    if not gap:
        return
    rise = (other.offset_share - one.offset_share) / gap
    is_beyond = min(abs(one.offset_share), abs(other.offset_share)) >= BEYOND
    for piece in lane.pieces(from_m, from_m + gap):
        edge = [
            spot.beside(drawn_share(one.offset_share + rise * (place - from_m)) * lane.half)
            for place, spot in piece
        ]
        middle = [(spot.x, spot.y) for _, spot in reversed(piece)]
        canvas.add(
            stroke("ribbon", strokes.line([*edge, *middle], closed=True)),
            stroke("ribbon-edge", strokes.line(edge)),
            stroke("ribbon-beyond", strokes.line(edge)) if is_beyond else None,
        )


def _draw_reading(canvas: Canvas, lane: Lane, reading: RibbonPoint, size: float) -> None:
    x, y = lane.offset(reading.position_m, drawn_share(reading.offset_share))
    is_beyond = abs(reading.offset_share) >= BEYOND
    foot = lane.offset(reading.position_m, 0.0)
    canvas.add(
        stroke("reading-stem", strokes.line([foot, (x, y)])),
        circle(
            "reading beyond" if is_beyond else "reading",
            x,
            -y,
            _LONE_DOT if is_beyond else size,
        ),
        look="station",
        label=reading.label,
        href=reading.href,
        at_m=reading.position_m % lane.length_m,
        handle=(x, y),
    )


def write_peaks(canvas: Canvas, readings: Sequence[RibbonPoint], words_look: str) -> None:
    """Words at the largest reading of each stretch off centre: nobody has to know the colour."""
    peaks = [reading for reading in _peaks(readings) if reading.label]
    for reading in sorted(peaks, key=lambda one: -abs(one.offset_share))[:_WORDS_AT_MOST]:
        look = f"{words_look} beyond" if abs(reading.offset_share) >= BEYOND else words_look
        for text in _shorter_and_shorter(reading.label):
            written = canvas.write(look, text, _reading_seats(canvas, reading), 0.88)
            if written:
                canvas.add(written)
                break


def _shorter_and_shorter(label: str) -> Iterable[str]:
    """`SNUB: 90 mm right (road side)`, then without the place, then without the side's own word."""
    yield label
    seen = label.split(": ", 1)[-1]
    yield seen
    yield seen.split(" (", 1)[0]


def _peaks(readings: Sequence[RibbonPoint]) -> Iterable[RibbonPoint]:
    for off, group in groupby(readings, key=_side):
        if off:
            yield max(group, key=lambda one: abs(one.offset_share))


def _side(reading: RibbonPoint) -> int:
    """-1 left, 1 right, 0 near enough to the centre."""
    if abs(reading.offset_share) < _OFF_CENTRE:
        return 0
    return 1 if reading.offset_share > 0 else -1


def _reading_seats(canvas: Canvas, reading: RibbonPoint) -> Iterable[Seat]:
    """Over the reading, else ending or beginning there, a line further out each time."""
    letter = canvas.layout.letter
    spot = canvas.outside(reading.position_m)
    up = 1.0 if math.cos(spot.heading_rad) > -0.2 else -1.0
    for lines in (0.8, 1.8, 2.8, 3.8):
        x, y = spot.beside(lines * letter)
        low = y - (0.2 if up > 0 else 0.6) * letter
        yield Seat(x, low)
        yield Seat(x + letter, low, "end")
        yield Seat(x - letter, low, "start")


def _mark_seats(canvas: Canvas, x: float, y: float, size: float) -> Iterable[Seat]:
    letter = canvas.layout.letter
    low, beside = y - 0.34 * letter, max(0.9 * letter, size + 0.3 * letter)
    yield Seat(x + beside, low, "start")
    yield Seat(x - beside, low, "end")
    for step in (1.2, 2.2, 3.2):
        for way in (1, -1):
            yield Seat(x + beside, low + way * step * letter, "start")
            yield Seat(x - beside, low + way * step * letter, "end")
