"""What stands on the loop: pulleys, load points and the rest, drawn at their places."""

from collections.abc import Callable, Iterable

from plant.loop.drawing import strokes
from plant.loop.drawing.canvas import Canvas
from plant.loop.drawing.labels import Box, Seat
from plant.loop.drawing.shapes import Shape, circle, stroke
from plant.loop.drawing.side_path import Wheel
from plant.loop.parts import Part
from plant.loop.vocabulary import ComponentKind, TakeUpKind

Link = Callable[[Part], str]

_ENDS = (ComponentKind.HEAD_PULLEY, ComponentKind.TAIL_PULLEY)


def draw_belt(canvas: Canvas) -> None:
    canvas.add(stroke("belt", strokes.belt(canvas.view.path.pieces)))


def draw_pulleys(canvas: Canvas, take_up: TakeUpKind | None, link: Link) -> None:
    wheels = {wheel.name: wheel for wheel in canvas.view.wheels}
    for part in canvas.loop.pulleys:
        wheel = wheels.get(part.name) or _resting(canvas, part)
        if not canvas.window.shows(wheel.x, wheel.radius):
            continue
        if part.kind is ComponentKind.TAKE_UP_PULLEY and take_up is TakeUpKind.GRAVITY:
            _draw_weight(canvas, wheel)
        look = f"pulley {part.kind.value.replace('_', '-')}"
        shapes: list[Shape | None] = [circle(look, wheel.x, -wheel.y, wheel.radius)]
        if part.kind is ComponentKind.DRIVE_PULLEY:
            shapes.append(circle("drive-ring", wheel.x, -wheel.y, 0.55 * wheel.radius))
        shapes.append(circle("axle", wheel.x, -wheel.y, 1.6))
        shapes.append(canvas.write("part-name", part.name, _name_seats(canvas, part, wheel), 0.88))
        canvas.add(
            *shapes, look="part", label=canvas.tells(part), href=link(part), at_m=part.first_m
        )


def draw_fittings(canvas: Canvas, link: Link) -> None:
    """Chutes, skirts, cleaners, ploughs, stretches of structure."""
    for part in canvas.loop.parts:
        if part.is_idler or not _is_shown(canvas, part):
            continue
        shapes: list[Shape | None] = list(_fitting(canvas, part))
        if part.kind is ComponentKind.LOAD_POINT:
            canvas.labels.take(_chute_room(canvas, part.first_m))
        if shapes:
            shapes.append(
                canvas.write("part-name", part.name, _fitting_seats(canvas, part), 0.88)
                if part.kind in (ComponentKind.LOAD_POINT, ComponentKind.STRUCTURE_SECTION)
                else None
            )
            canvas.add(
                *shapes, look="part", label=canvas.tells(part), href=link(part), at_m=part.first_m
            )


def _is_shown(canvas: Canvas, part: Part) -> bool:
    end_m = min(part.first_m + (part.length_m or 0.0), canvas.loop.length_m)
    xs = [canvas.view.path.at(place).x for place in (part.first_m, end_m)]
    return min(xs) <= canvas.window.right and max(xs) >= canvas.window.left


def _resting(canvas: Canvas, part: Part) -> Wheel:
    """A pulley whose way of turning the belt is not known: drawn touching it."""
    layout = canvas.layout
    spot = canvas.view.path.at(part.first_m)
    x, y = spot.beside(-layout.least_radius)
    return Wheel(part.name, x, y, layout.least_radius, -1, 0.0, part.first_m, part.first_m)


def _draw_weight(canvas: Canvas, wheel: Wheel) -> None:
    top = wheel.y - wheel.radius
    half, high = 0.75 * wheel.radius, 0.9 * wheel.radius
    data = strokes.line([(wheel.x, wheel.y), (wheel.x, top - 3)])
    corners = [
        (wheel.x - half, top - 3),
        (wheel.x + half, top - 3),
        (wheel.x + half, top - 3 - high),
        (wheel.x - half, top - 3 - high),
    ]
    canvas.add(stroke("weight", data + strokes.line(corners, closed=True)))
    canvas.labels.take(Box(wheel.x - half, -top, wheel.x + half, 3 + high - top))


def _name_seats(canvas: Canvas, part: Part, wheel: Wheel) -> Iterable[Seat]:
    letter = canvas.layout.letter
    low = wheel.y - 0.3 * letter
    right = Seat(wheel.x + wheel.radius + 4, low, "start")
    left = Seat(wheel.x - wheel.radius - 4, low, "end")
    if part.kind is ComponentKind.TAIL_PULLEY:
        return (right,)
    if part.kind is ComponentKind.HEAD_PULLEY:
        return (left,)
    above = wheel.y + wheel.radius + 0.8 * letter
    below = wheel.y - wheel.radius - 1.4 * letter
    under = [Seat(wheel.x, below - step * 0.5 * letter) for step in range(4)]
    over = [Seat(wheel.x, above + step * 0.5 * letter) for step in range(4)]
    spot = canvas.outside((wheel.from_m + wheel.to_m) / 2)
    outer = [Seat(spot.x, spot.y - (1.2 + step * 0.5) * letter) for step in range(4)]
    if part.kind is ComponentKind.TAKE_UP_PULLEY:
        return [*under, left, right, *outer, *over]
    return [*over, left, right, *under]


def _fitting(canvas: Canvas, part: Part) -> Iterable[Shape]:
    at, small = part.first_m, 0.26 * canvas.layout.letter
    if part.kind is ComponentKind.LOAD_POINT:
        yield stroke("chute", _chute(canvas, at))
        if part.length_m:
            yield _alongside(canvas, "skirt", at, at + part.length_m, 4.5)
    elif part.kind is ComponentKind.SKIRTBOARD:
        yield _alongside(canvas, "skirt", at, at + (part.length_m or 0.0), 4.5)
    elif part.kind is ComponentKind.STRUCTURE_SECTION and part.length_m:
        yield _alongside(canvas, "structure", at, at + part.length_m, -11.0)
    elif part.kind is ComponentKind.BELT_CLEANER:
        points = [canvas.beside(at, 1.5), canvas.beside(at, 1.5 + 2.4 * small)]
        yield stroke("cleaner", strokes.line(points))
    elif part.kind is ComponentKind.PLOUGH:
        x, y = canvas.beside(at, -2.5)
        yield stroke(
            "cleaner",
            strokes.line([(x - small, y + 2 * small), (x, y), (x + small, y + 2 * small)]),
        )


def _chute(canvas: Canvas, at: float) -> str:
    size = 0.55 * canvas.layout.letter
    x, y = canvas.beside(at, 4.0)
    return strokes.line(
        [
            (x - 1.5 * size, y + 2.3 * size),
            (x - 0.5 * size, y + size),
            (x - 0.5 * size, y),
            (x + 0.5 * size, y),
            (x + 0.5 * size, y + size),
            (x + 1.5 * size, y + 2.3 * size),
        ]
    )


def _chute_room(canvas: Canvas, at: float) -> Box:
    size = 0.55 * canvas.layout.letter
    x, y = canvas.beside(at, 4.0)
    return Box(x - 1.5 * size, -y - 2.3 * size - 2, x + 1.5 * size, -y)


def _alongside(canvas: Canvas, look: str, from_m: float, to_m: float, away: float) -> Shape:
    to_m = min(to_m, canvas.loop.length_m)
    places = [from_m + (to_m - from_m) * step / 4 for step in range(5)]
    return stroke(look, strokes.line(canvas.beside(place, away) for place in places))


def _fitting_seats(canvas: Canvas, part: Part) -> Iterable[Seat]:
    letter = canvas.layout.letter
    if part.kind is ComponentKind.LOAD_POINT:
        x, y = canvas.beside(part.first_m, 0.0)
        size = 0.55 * letter
        start = x + 2.2 * size
        yield Seat(start, y + 1.2 * size + 3, "start")
        yield Seat(x, y + 2.3 * size + 4 + 0.3 * letter)
        outer = canvas.outside(part.first_m)
        yield from (Seat(outer.x, outer.y + (1.2 + step) * letter) for step in range(3))
    else:
        middle = part.first_m + (part.length_m or 0.0) / 2
        x, y = canvas.beside(middle, -11.0 - 1.1 * letter)
        yield Seat(x, y)
        yield Seat(x, y - 0.6 * letter)
