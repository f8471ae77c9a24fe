"""Idler sets beside their strand: thinned out on the whole, single with numbers enlarged."""

import math
from bisect import bisect_left
from collections.abc import Callable

from plant.loop.drawing import strokes
from plant.loop.drawing.canvas import Canvas
from plant.loop.drawing.labels import Seat, text_width
from plant.loop.drawing.shapes import Shape, stroke
from plant.loop.parts import Part
from plant.loop.vocabulary import ComponentKind, Run

Link = Callable[[Part], str]

_SIDE_OF_BELT = 4.0
# From this distance on each set of an enlarged group is a place of its own.
_SINGLE = 12.0
# More places than this are neither told apart by the eye nor stepped through by key.
_MANY = 160
# Size of a name, in letters.
_NAME = 0.8
_EVERY = (1, 2, 5, 10, 20, 50, 100)


def draw_idlers(canvas: Canvas, link: Link) -> None:
    """Each group one place that leads to it; enlarged far enough, each set.

    Where the register holds thousands of sets one by one, those of a kind are one place.
    """
    idlers = [part for part in canvas.loop.parts if part.is_idler]
    shown = [(part, numbers) for part in idlers if (numbers := _shown(canvas, part))]
    if len(shown) > _MANY:
        _draw_kinds(canvas, [part for part, _numbers in shown])
        return
    for part, numbers in shown:
        every = _every(canvas, part, numbers)
        if canvas.stretch and every == 1 and _apart(canvas, part, numbers) >= _SINGLE:
            _draw_sets(canvas, part, numbers, link)
        else:
            _draw_group(canvas, part, numbers[::every], link)


def _draw_kinds(canvas: Canvas, parts: list[Part]) -> None:
    """Those of a kind and run as one row of strokes, none nearer to the next than can be seen."""
    kinds: dict[tuple[ComponentKind, Run], list[Part]] = {}
    for part in parts:
        kinds.setdefault((part.kind, part.run), []).append(part)
    for found in kinds.values():
        data, last_x = "", -math.inf
        for part in found:
            for number in _shown(canvas, part):
                place = _place_m(part, number)
                x = canvas.view.path.at(place).x
                if abs(x - last_x) >= canvas.layout.tick:
                    data, last_x = data + _set(canvas, part, place), x
        names = f"{found[0].name} … {found[-1].name}"
        canvas.add(stroke(_look(found[0]), data), label=names)


def _draw_group(canvas: Canvas, part: Part, numbers: range, link: Link) -> None:
    places = [_place_m(part, number) for number in numbers]
    data = "".join(_set(canvas, part, place) for place in places)
    canvas.add(
        stroke(_look(part), data),
        _reach(canvas, part, places) if link(part) else None,
        look="part group",
        label=canvas.tells(part),
        href=link(part),
        at_m=places[0],
    )


def _draw_sets(canvas: Canvas, part: Part, numbers: range, link: Link) -> None:
    named = _named(canvas, part, numbers)
    for number in numbers:
        place = _place_m(part, number)
        name = f"{part.prefix}{part.first_number + number}" if part.is_numbered else part.name
        canvas.add(
            stroke(_look(part), _set(canvas, part, place)),
            canvas.write("set-name", name, _name_seats(canvas, part, place, name), _NAME)
            if number in named
            else None,
            look="part set",
            label=f"{name}: {canvas.tells(part)}" if part.is_numbered else canvas.tells(part),
            href=link(part),
            at_m=place,
            handle=canvas.beside(place, -9.0 if part.run is Run.CARRYING else 9.0),
        )


def _named(canvas: Canvas, part: Part, numbers: range) -> set[int]:
    """Every set, or every second, fifth, tenth: as many names as stand in one row."""
    size = _NAME * canvas.layout.letter
    room = text_width(f"{part.prefix}{part.last_number}", size) + size
    apart = _apart(canvas, part, numbers)
    every = next((one for one in _EVERY if one * apart >= room), _EVERY[-1])
    return {one for one in numbers if every == 1 or (part.first_number + one) % every == 0}


def _look(part: Part) -> str:
    return f"idlers {part.kind.value.replace('_', '-')}"


def _place_m(part: Part, number: int) -> float:
    return part.first_m + number * (part.spacing_m or 0.0)


def _shown(canvas: Canvas, part: Part) -> range:
    """Which sets of the group are inside the window: along a run they stand in order."""
    way = 1 if part.run is Run.CARRYING else -1
    low, high = sorted((way * canvas.window.left, way * canvas.window.right))

    def across(number: int) -> float:
        return way * canvas.view.path.at(_place_m(part, number)).x

    numbers = range(part.count)
    return numbers[bisect_left(numbers, low, key=across) : bisect_left(numbers, high, key=across)]


def _apart(canvas: Canvas, part: Part, numbers: range) -> float:
    """Between two neighbours on the drawing; a single set has all the room."""
    if len(numbers) < 2:
        return math.inf
    ends = [canvas.beside(_place_m(part, one), 0) for one in (numbers[0], numbers[-1])]
    return math.dist(*ends) / (len(numbers) - 1)


def _every(canvas: Canvas, part: Part, numbers: range) -> int:
    apart = _apart(canvas, part, numbers)
    return max(1, math.ceil(canvas.layout.tick / apart)) if apart > 0 else len(numbers)


def _set(canvas: Canvas, part: Part, place: float) -> str:
    way = -1.0 if part.run is Run.CARRYING else 1.0
    near, far = _SIDE_OF_BELT * way, (_SIDE_OF_BELT + 3.0) * way
    if part.kind is ComponentKind.SELF_ALIGNING_IDLER:
        middle = (near + far) / 2 + 1.5 * way
        x, y = canvas.beside(place, middle)
        return strokes.line([(x - 3, y), (x, y + 3), (x + 3, y), (x, y - 3)], closed=True)
    if part.kind is ComponentKind.RETURN_IDLERS:
        return strokes.line([canvas.beside(place, near - way), canvas.beside(place, far)])
    if part.kind is ComponentKind.VEE_RETURN_IDLERS:
        x, y = canvas.beside(place, near)
        return strokes.line([(x - 2.2, y), (x, y - 3.0), (x + 2.2, y)])
    return strokes.dots([canvas.beside(place, near)])


def _reach(canvas: Canvas, part: Part, places: list[float]) -> Shape:
    """Where a finger or a pointer meets the group."""
    away = _SIDE_OF_BELT if part.run is Run.RETURN else -_SIDE_OF_BELT
    return stroke("touch-line", strokes.line(canvas.beside(place, away) for place in places))


def _name_seats(canvas: Canvas, part: Part, place: float, name: str) -> list[Seat]:
    """On the side of its set, so far off that no end of it runs into a slanting strand."""
    letter = canvas.layout.letter
    way = -1.0 if part.run is Run.CARRYING else 1.0
    heading = canvas.view.path.at(place).heading_rad
    slant = abs(math.sin(heading)) * text_width(name, _NAME * letter) / 2
    x, y = canvas.beside(place, way * (_SIDE_OF_BELT + 5.0 + 0.2 * letter + slant))
    is_above = y > canvas.beside(place, 0.0)[1]
    return [Seat(x, y if is_above else y - 0.6 * letter)]
