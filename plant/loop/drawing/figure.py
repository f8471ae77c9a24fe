"""The finished drawing in one layout: a window and places, from back to front."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from plant.loop.drawing import curves, fixtures, idlers, measures, overlays, riding
from plant.loop.drawing.canvas import LAYOUTS, Canvas, Layout, canvas_for
from plant.loop.drawing.labels import Box, Seat, text_box
from plant.loop.drawing.reach import within_reach
from plant.loop.drawing.shapes import Curve, Form, Mark, Place, RibbonPoint, Rider, Shape
from plant.loop.drawing.shown import Stretch
from plant.loop.parts import Part
from plant.loop.path import Loop
from plant.loop.profile import Profile
from plant.loop.vocabulary import TakeUpKind


@dataclass(frozen=True)
class Figure:
    """One layout of the drawing.

    Attributes
    ----------
    name : str
        Which layout: wide, middle or narrow.
    left, top, width, height : float
        Its window, y downward.
    places : tuple of Place
        From back to front.
    heights_drawn : float
        How many times larger than lengths the lift is drawn.
    is_schematic : bool
        Only head and tail turn the belt; the angles of the other pulleys are not known.
    is_surveyed : bool
        Lengths are true on the plan and heights come from a profile.
    places_along : tuple of (float, float)
        From the left to the right of the window, x and the distance along the structure [m], for
        whoever points at a stretch.
    """

    name: str
    left: float
    top: float
    width: float
    height: float
    places: tuple[Place, ...]
    heights_drawn: float
    is_schematic: bool
    is_surveyed: bool = False
    places_along: tuple[tuple[float, float], ...] = ()

    @property
    def window(self) -> str:
        return f"{self.left:.0f} {self.top:.0f} {self.width:.0f} {self.height:.0f}"

    @property
    def along(self) -> str:
        """`places_along` as `x,metres` with blanks between, for a script."""
        return " ".join(f"{x:.1f},{at_m:.2f}" for x, at_m in self.places_along)


@dataclass(frozen=True)
class Telling:
    """What the drawing shows besides the loop itself.

    Readings beside computed curves are dots; alone they are joined to a ribbon.
    """

    lift_m: float = 0.0
    take_up: TakeUpKind | None = None
    is_reversing: bool = False
    ribbon: Sequence[RibbonPoint] = ()
    marks: Sequence[Mark] = ()
    curves: Sequence[Curve] = ()
    profile: Profile | None = None
    stretch: Stretch | None = None
    riders: Sequence[Rider] = ()


def _plain(text: str) -> str:
    return text


def _name_of(part: Part) -> str:
    return part.name


def _nowhere(_part: Part) -> str:
    return ""


@dataclass(frozen=True)
class Reader:
    """What the drawing needs to know of who reads it.

    Attributes
    ----------
    say : callable
        Turns an English word of the drawing into the reader's language.
    tells : callable
        What a component is, in words.
    link : callable
        The address a component leads to, empty for none.
    """

    say: Callable[[str], str] = _plain
    tells: Callable[[Part], str] = _name_of
    link: Callable[[Part], str] = _nowhere


def draw_loop(
    loop: Loop,
    telling: Telling,
    *,
    layouts: Sequence[Layout] = LAYOUTS,
    reader: Reader = Reader(),
) -> tuple[Figure, ...]:
    """Draw the loop once for every layout.

    Parameters
    ----------
    loop : Loop
    telling : Telling
        Lift, take-up, readings and marks.
    layouts : sequence of Layout
    reader : Reader
    """
    return tuple(_figure(loop, telling, layout, reader) for layout in layouts)


def _figure(loop: Loop, telling: Telling, layout: Layout, reader: Reader) -> Figure:
    canvas = canvas_for(
        loop,
        layout,
        lift_m=telling.lift_m,
        profile=telling.profile,
        stretch=telling.stretch,
        with_lane=bool(telling.ribbon or telling.curves),
        say=reader.say,
        tells=reader.tells,
    )
    pins = overlays.place_pins(canvas, telling.marks)
    overlays.draw_lane(canvas)
    fixtures.draw_belt(canvas)
    measures.draw_levels(canvas, telling.profile)
    idlers.draw_idlers(canvas, reader.link)
    fixtures.draw_pulleys(canvas, telling.take_up, reader.link)
    fixtures.draw_fittings(canvas, reader.link)
    overlays.draw_pins(canvas, pins)
    for curve in telling.curves:
        curves.draw_curve(canvas, curve)
    overlays.draw_ribbon(canvas, telling.ribbon, is_joined=not telling.curves)
    riding.draw_riders(canvas, telling.riders)
    measures.draw_scale(canvas)
    measures.draw_zones(canvas)
    measures.draw_travel(canvas, is_reversing=telling.is_reversing)
    return _window(canvas)


def _window(canvas: Canvas) -> Figure:
    layout, window = canvas.layout, canvas.window
    boxes = list(canvas.labels.taken)
    boxes += [
        box for place in canvas.places for shape in place.shapes for box in _room(shape, layout)
    ]
    shown = [box for box in boxes if box.right > window.left and box.left < window.right]
    whole = shown[0]
    for box in shown[1:]:
        whole = whole.around(box)
    pad = 0.5 * layout.letter
    return Figure(
        name=layout.name,
        left=window.left,
        top=whole.top - pad,
        width=window.right - window.left,
        height=whole.bottom - whole.top + 2 * pad,
        places=within_reach(in_belt_order(canvas.places)),
        heights_drawn=canvas.view.ground.heights_drawn,
        is_surveyed=canvas.view.ground.is_surveyed,
        places_along=_places_along(canvas),
        is_schematic=canvas.view.is_schematic,
    )


def _places_along(canvas: Canvas) -> tuple[tuple[float, float], ...]:
    ground, window = canvas.view.ground, canvas.window
    length_m = canvas.loop.head_m
    xs = [window.left, *(x for x in ground.xs if window.left < x < window.right), window.right]
    return tuple((round(x, 1), round(min(max(ground.along_at(x), 0.0), length_m), 2)) for x in xs)


def in_belt_order(places: Sequence[Place]) -> tuple[Place, ...]:
    """What stands somewhere last, in the order in which the belt passes it: so goes the Tab key."""
    ground = [one for one in places if one.at_m is None]
    standing = [one for one in places if one.at_m is not None]
    return (*ground, *sorted(standing, key=lambda one: one.at_m or 0.0))


def _room(shape: Shape, layout: Layout) -> list[Box]:
    if shape.form is Form.CIRCLE:
        size = shape.radius
        return [Box(shape.x - size, shape.y - size, shape.x + size, shape.y + size)]
    if shape.form is Form.TEXT:
        return [text_box(shape.text, Seat(shape.x, -shape.y, shape.anchor), layout.letter)]
    return []
