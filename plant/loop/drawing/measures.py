"""Where is what: the scale in metres of loop position, the zones' names, the way of travel."""

import math
from collections.abc import Iterable

from plant.loop.drawing import strokes
from plant.loop.drawing.canvas import Canvas
from plant.loop.drawing.labels import Box, Seat, text_width
from plant.loop.drawing.shapes import stroke
from plant.loop.profile import Profile
from plant.loop.vocabulary import Zone
from plant.loop.zones import Stretch, stretches

_STEPS_M = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000)
# A number with its unit and air around it, in letters.
_ROOM = 6.5
_TICKS_AT_MOST = 60
_SAMPLES = 64
# Below the idlers of the carrying run.
_LEVEL_AWAY = 10.0
# Where the arrow of travel is tried: along the carrying run, and down toward the return run.
_SHARES = (0.5, 0.36, 0.64, 0.25, 0.75, 0.43, 0.57, 0.3, 0.7)
_DEPTHS = (1.0, 0.75, 1.25, 0.6)
# Where it is tried last, without words: anywhere inside, then outside just above the belt.
_LAST_DEPTHS = (0.5, 0.85, 1.15, 1.4, -0.55, -0.75)
_LAST_SHARES = tuple(step / 24 for step in range(2, 23))
# Their pulleys' names say it.
_UNNAMED = (Zone.TAIL, Zone.HEAD, Zone.BEND, Zone.TAKE_UP)


def draw_scale(canvas: Canvas) -> None:
    """Ticks and numbers outside the belt, at round loop positions."""
    step = _step_m(canvas)
    letter = canvas.layout.letter
    from_away = 2.0 if canvas.lane else 9.0
    ticks: list[str] = []
    for place in range(0, math.ceil(canvas.loop.length_m - step / 3), step):
        spot = canvas.view.path.at(place)
        if abs(math.cos(spot.heading_rad)) < 0.9 or not canvas.window.shows(spot.x):
            continue
        x, y = canvas.outside(place).beside(from_away)
        up = 1.0 if math.cos(spot.heading_rad) > 0 else -1.0
        seats = [Seat(x, y + up * (6 + 0.2 * letter) - (0 if up > 0 else 0.6 * letter))]
        number = canvas.write("scale-number", f"{place:g} m", seats, 0.84)
        if number is None:
            continue
        ticks.append(strokes.line([(x, y), (x, y + up * 4)]))
        canvas.add(number)
    if ticks:
        canvas.add(stroke("scale", "".join(ticks)))


def draw_levels(canvas: Canvas, profile: Profile | None) -> None:
    """The height at each corner of a surveyed run, under a mark as levels have on drawings."""
    if profile is None:
        return
    letter = canvas.layout.letter
    ends_m = (0.0, *(at for _x, at in canvas.view.ground.corners), canvas.loop.head_m)
    for place in ends_m:
        if not canvas.shows(place):
            continue
        x, y = canvas.beside(place, -_LEVEL_AWAY)
        size = 0.32 * letter
        room = Box(x - size, -y, x + size, 1.6 * size - y)
        if not canvas.labels.is_free(room):
            continue
        seats = [
            Seat(x + way * 0.55 * letter, y - 0.9 * letter, anchor)
            for way, anchor in ((1, "start"), (-1, "end"))
        ]
        number = canvas.write("level-number", f"{profile.height_at(place):.2f}", seats, 0.84)
        if number:
            canvas.labels.take(room)
            corners = [(x, y), (x - size, y - 1.6 * size), (x + size, y - 1.6 * size)]
            canvas.add(number, stroke("level", strokes.line(corners, closed=True)))


def draw_zones(canvas: Canvas) -> None:
    """Names inside the loop where there is room for them, and a stroke where a zone ends."""
    ends: list[str] = []
    for stretch in stretches(canvas.loop):
        is_seen = stretch.start_m > 0 and canvas.shows(stretch.start_m)
        if is_seen and not _is_on_pulley(canvas, stretch.start_m):
            near = canvas.beside(stretch.start_m, -1.5)
            ends.append(strokes.line([near, canvas.beside(stretch.start_m, -10.0)]))
        if stretch.zone not in _UNNAMED:
            text = canvas.say(stretch.zone.value)
            canvas.add(canvas.write("zone-name", text, _zone_seats(canvas, stretch, text), 0.92))
    canvas.add(stroke("zone-end", "".join(ends)))


def _is_on_pulley(canvas: Canvas, position_m: float) -> bool:
    return any(wheel.from_m < position_m < wheel.to_m for wheel in canvas.view.wheels)


def draw_travel(canvas: Canvas, *, is_reversing: bool) -> None:
    """An arrow inside the loop: which way the carrying run goes; with words if they find room."""
    texts = [canvas.say("travel"), ""]
    if is_reversing:
        texts = [canvas.say("reversing; forward is this way"), canvas.say("forward"), ""]
    ways = (1, -1)[: 1 + is_reversing]
    tries = [(text, share, deep) for text in texts for deep in _DEPTHS for share in _SHARES]
    tries += [("", share, deep) for deep in _LAST_DEPTHS for share in _LAST_SHARES]
    for text, share, deep in tries:
        room, ends, y = _travel_room(canvas, _at(canvas, share), deep, text, ways)
        if canvas.labels.is_free(room):
            break
    else:
        # Which way the belt runs is worth a crossing, of as little as can be.
        text = ""
        rooms = [_travel_room(canvas, _at(canvas, one), deep, "", ways) for _, one, deep in tries]
        room, ends, y = min(rooms, key=lambda found: canvas.labels.met_by(found[0]))
    x = (room.left + room.right) / 2 if is_reversing else ends[0][0] - _half(canvas, text)
    found = canvas.write("travel-words", text, [Seat(x, y)]) if text else None
    canvas.labels.take(room)
    data = "".join(_arrow(start, end, y + 0.32 * canvas.layout.letter) for start, end in ends)
    canvas.add(found, stroke("travel", data))


def _at(canvas: Canvas, share: float) -> float:
    """So far along what is shown of the carrying run. [m]"""
    first_m, last_m = canvas.carrying_m
    return first_m + share * (last_m - first_m)


def _half(canvas: Canvas, text: str) -> float:
    return text_width(text, canvas.layout.letter) / 2 + 8


def _travel_room(
    canvas: Canvas, at_m: float, deep: float, text: str, ways: tuple[int, ...]
) -> tuple[Box, list[tuple[float, float]], float]:
    """The room of words and arrows in the middle of the loop, the arrows' ends and the height."""
    letter = canvas.layout.letter
    x, y = canvas.beside(at_m, -deep * canvas.layout.end_radius - 0.2 * letter)
    half, reach = _half(canvas, text), (3 if text else 2) * letter
    ends = [(x + way * half, x + way * (half + reach)) for way in ways]
    low, high = -y - 0.7 * letter, 0.2 * letter - y
    left, right = min(x - half, *map(min, ends)), max(x + half, *map(max, ends))
    return Box(left, low, right, high), ends, y


def _arrow(start: float, end: float, y: float) -> str:
    back = 5.0 if end > start else -5.0
    return strokes.line([(start, y), (end, y)]) + strokes.line(
        [(end - back, y + 3), (end, y), (end - back, y - 3)]
    )


def _step_m(canvas: Canvas) -> int:
    """The least round step whose numbers do not crowd the carrying run."""
    first_m, last_m = canvas.carrying_m
    start, end = canvas.beside(first_m, 0), canvas.beside(last_m, 0)
    per_m = math.dist(start, end) / max(last_m - first_m, 0.001)
    room = _ROOM * canvas.layout.letter
    # A short carrying run can belong to a long belt; then the return run sets the step.
    shown = (last_m - first_m) / canvas.loop.head_m
    least = shown * canvas.loop.length_m / _TICKS_AT_MOST
    wanted = (step for step in _STEPS_M if step >= least and step * per_m >= room)
    return next(wanted, _STEPS_M[-1])


def _zone_seats(canvas: Canvas, stretch: Stretch, text: str) -> Iterable[Seat]:
    """In the middle of the stretch, else nearer to its ends; inside the loop, else outside."""
    letter = canvas.layout.letter
    first_m, last_m = _seen(canvas, stretch)
    for inward in (8.0 + letter, 8.0 + 1.8 * letter, 8.0 + 2.8 * letter):
        for share in (0.5, 0.35, 0.65):
            spot = canvas.view.path.at(first_m + share * (last_m - first_m))
            if abs(math.cos(spot.heading_rad)) < 0.9:
                continue
            x, y = spot.beside(-inward)
            yield Seat(x, y if math.cos(spot.heading_rad) > 0 else y - 0.6 * letter)


def _seen(canvas: Canvas, stretch: Stretch) -> tuple[float, float]:
    """The part of a zone that is shown. [m]"""
    length_m = stretch.end_m - stretch.start_m
    if not canvas.stretch:
        return stretch.start_m, stretch.end_m
    places = [stretch.start_m + length_m * step / _SAMPLES for step in range(_SAMPLES + 1)]
    shown = [place for place in places if canvas.shows(place)]
    return (shown[0], shown[-1]) if shown else (stretch.start_m, stretch.end_m)
