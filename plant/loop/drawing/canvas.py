"""One layout of the drawing while it is being made: sizes, what is laid out, what is taken."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from plant.loop.drawing.labels import Box, Labels, Seat
from plant.loop.drawing.lane import Lane, detour_room, lane_along
from plant.loop.drawing.shapes import Place, Shape
from plant.loop.drawing.shown import Stretch, Window, enlarged
from plant.loop.drawing.side_path import Arc, Spot, Straight
from plant.loop.drawing.side_view import Frame, SideView, side_view
from plant.loop.drawing.strips import lane_in_strips
from plant.loop.parts import Part
from plant.loop.path import Loop
from plant.loop.profile import Profile


@dataclass(frozen=True)
class Layout:
    """A width of the drawing, in units that a page shows at about one pixel each.

    Attributes
    ----------
    name : str
        Class of the drawing in the stylesheet.
    width : float
        Whole width.
    letter : float
        Size of ordinary words.
    end_radius, least_radius, most_radius, leg, rise : float
        As in Frame.
    away, half : float
        Distance of the ribbon's lane from the belt and half its width.
    tick : float
        Room between idler sets that are drawn.
    goes_round : bool
        Whether the lane follows the belt all the way; else it is one strip above and one below.
    """

    name: str
    width: float
    letter: float
    end_radius: float
    least_radius: float
    most_radius: float
    leg: float
    rise: float
    away: float
    half: float
    tick: float
    goes_round: bool = True


LAYOUTS = (
    Layout("wide", 1180, 12.5, 36, 8, 15, 56, 120, 52, 21, 9),
    Layout("middle", 680, 12.5, 32, 7, 13, 50, 70, 46, 17, 8),
    Layout("narrow", 344, 12.5, 26, 6, 10, 34, 30, 38, 15, 7, goes_round=False),
)

# What keeps its distance from the belt (its idlers stand there) and from other lines.
_BELT_AIR = 7.5
_LINE_AIR = 1.5
_STEP = 10.0


@dataclass
class Canvas:
    loop: Loop
    layout: Layout
    view: SideView
    lane: Lane | None
    say: Callable[[str], str]
    tells: Callable[[Part], str]
    labels: Labels
    window: Window
    stretch: Stretch | None = None
    places: list[Place] = field(default_factory=list)

    def add(
        self,
        *shapes: Shape | None,
        look: str = "",
        label: str = "",
        href: str = "",
        at_m: float | None = None,
        handle: tuple[float, float] | None = None,
    ) -> None:
        """`handle` is a point with y upward, as everything before it is drawn."""
        drawn = tuple(shape for shape in shapes if shape is not None)
        if drawn:
            below = (round(handle[0], 1), round(0.0 - handle[1], 1)) if handle else None
            self.places.append(Place(drawn, look, label, href, at_m, below))

    def shows(self, position_m: float, reach: float = 0.0) -> bool:
        """Whether a place, or one so near to it, is inside the window."""
        return self.window.shows(self.view.path.at(position_m).x, reach)

    @cached_property
    def carrying_m(self) -> tuple[float, float]:
        """The part of the carrying run that is shown. [m]"""
        first, last = self.window.along_m(self.view.ground)
        return min(first, self.loop.head_m), min(last, self.loop.head_m)

    def write(
        self, look: str, text: str, seats: Iterable[Seat], share: float = 1.0
    ) -> Shape | None:
        return self.labels.put(look, text, seats, self.layout.letter * share)

    def beside(self, position_m: float, distance: float) -> tuple[float, float]:
        return self.view.path.at(position_m).beside(distance)

    def take_line(self, points: list[tuple[float, float]]) -> None:
        for box in _along(points, _LINE_AIR, self.window):
            self.labels.take(box)

    def outside(self, position_m: float) -> Spot:
        """Where the outer side of the belt, with its lane, is free."""
        if self.lane is None:
            return self.view.path.at(position_m)
        spot = self.lane.at(position_m)
        return Spot(*spot.beside(self.lane.half), spot.heading_rad)


def canvas_for(
    loop: Loop,
    layout: Layout,
    *,
    lift_m: float,
    profile: Profile | None = None,
    stretch: Stretch | None = None,
    with_lane: bool,
    say: Callable[[str], str],
    tells: Callable[[Part], str],
) -> Canvas:
    """Lay the loop out and mark as taken where the belt, the pulleys and the lane run."""
    is_round = with_lane and layout.goes_round
    around = layout.away + layout.half if is_round else 0.0
    margin = layout.end_radius + around + (1.6 if is_round else 0.8) * layout.letter
    frame = _frame(layout, margin, is_round)

    def lay(wanted: Frame) -> SideView:
        return side_view(loop, wanted, lift_m=lift_m, profile=profile)

    view, window = lay(frame), Window(-margin, frame.width + margin)
    if stretch:
        view, window = enlarged(stretch, view, frame, lay, margin)
    lane = None
    if is_round:
        lane = lane_along(view.path, view.hanging, layout.away, layout.half)
    elif with_lane:
        lane = lane_in_strips(
            view, loop.head_m, layout.away, layout.half, window if stretch else None
        )
    labels = Labels(left=window.left + 2, right=window.right - 2)
    canvas = Canvas(loop, layout, view, lane, say, tells, labels, window, stretch)
    for box in _taken(canvas):
        labels.take(box)
    return canvas


def _frame(layout: Layout, margin: float, is_round: bool) -> Frame:
    return Frame(
        width=layout.width - 2 * margin,
        end_radius=layout.end_radius,
        least_radius=layout.least_radius,
        most_radius=layout.most_radius,
        leg=layout.leg + (layout.half if is_round else 0.0),
        rise=layout.rise,
        apart=detour_room(layout.half) if is_round else 0.8 * layout.letter,
    )


def _taken(canvas: Canvas) -> Iterable[Box]:
    for wheel in canvas.view.wheels:
        x, y, size = wheel.x, -wheel.y, wheel.radius
        yield Box(x - size, y - size, x + size, y + size)
    yield from _along(list(_belt_points(canvas)), _BELT_AIR, canvas.window)
    if canvas.lane:
        for share in (-1.0, 0.0, 1.0):
            for line in canvas.lane.edges(share):
                yield from _along(line, _LINE_AIR, canvas.window)


def _belt_points(canvas: Canvas) -> Iterable[tuple[float, float]]:
    for piece in canvas.view.path.pieces:
        steps = 1 if isinstance(piece, Straight) else 6
        for step in range(steps + 1):
            spot = piece.at(step / steps)
            yield spot.x, spot.y
        assert isinstance(piece, Straight | Arc)


def _along(points: list[tuple[float, float]], air: float, window: Window) -> Iterable[Box]:
    """Small boxes along a line; one large box round a slanting line would take too much."""
    for one, other in pairwise(points):
        (x0, y0), (x1, y1) = one, other
        first, last = _inside(x0, x1, window)
        if first >= last:
            continue
        x0, y0, x1, y1 = (
            x0 + first * (x1 - x0),
            y0 + first * (y1 - y0),
            x0 + last * (x1 - x0),
            y0 + last * (y1 - y0),
        )
        count = max(1, int(max(abs(x1 - x0), abs(y1 - y0)) / _STEP))
        for index in range(count):
            share_from, share_to = index / count, (index + 1) / count
            ax, ay = x0 + share_from * (x1 - x0), y0 + share_from * (y1 - y0)
            bx, by = x0 + share_to * (x1 - x0), y0 + share_to * (y1 - y0)
            yield Box(min(ax, bx) - air, -max(ay, by) - air, max(ax, bx) + air, -min(ay, by) + air)


def _inside(x0: float, x1: float, window: Window) -> tuple[float, float]:
    """The shares of a line between which it is shown."""
    if abs(x1 - x0) < 1e-9:
        return (0.0, 1.0) if window.shows(x0) else (0.0, 0.0)
    one, other = (window.left - x0) / (x1 - x0), (window.right - x0) / (x1 - x0)
    return max(0.0, min(one, other)), min(1.0, max(one, other))
