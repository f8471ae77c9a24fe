"""The whole loop, small, with the stretch that is shown larger beside it."""

from dataclasses import dataclass

from plant.loop.drawing import strokes
from plant.loop.drawing.shown import Stretch
from plant.loop.drawing.side_view import Frame, side_view
from plant.loop.path import Loop
from plant.loop.profile import Profile

_FRAME = Frame(
    width=300, end_radius=10, least_radius=4, most_radius=5, leg=18, rise=46, apart=4, shortest=4
)
_EDGE = 8.0


@dataclass(frozen=True)
class Minimap:
    """Path data of the belt and of the stretch; the window of both, y downward."""

    belt: str
    stretch: str
    window: str


def minimap(
    loop: Loop, stretch: Stretch, *, lift_m: float = 0.0, profile: Profile | None = None
) -> Minimap:
    path = side_view(loop, _FRAME, lift_m=lift_m, profile=profile).path
    steps = [path.at(loop.length_m * step / 200) for step in range(200)]
    spots = [path.at(place) for place in stretch.places(loop.length_m)]
    low, high = min(one.y for one in steps), max(one.y for one in steps)
    left, right = min(one.x for one in steps), max(one.x for one in steps)
    window = (
        f"{left - _EDGE:.0f} {0.0 - high - _EDGE:.0f}"
        f" {right - left + 2 * _EDGE:.0f} {high - low + 2 * _EDGE:.0f}"
    )
    return Minimap(strokes.belt(path.pieces), strokes.line((one.x, one.y) for one in spots), window)
