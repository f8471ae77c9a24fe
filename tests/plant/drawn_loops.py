"""Loops as drawn, and the shapes read back from a figure."""

import re

import pytest

from plant.loop.drawing.canvas import LAYOUTS, canvas_for
from plant.loop.drawing.figure import Figure
from plant.loop.drawing.shapes import RibbonPoint, Shape
from plant.loop.layout import LayoutFigures, lay_out
from plant.loop.path import Loop, build_loop
from plant.loop.vocabulary import TakeUpKind
from plant.loop.walking import walking_stations
from tests.plant.loops import OPEN_CONVEYORS

WIDE, MIDDLE, NARROW = LAYOUTS
every_layout = pytest.mark.parametrize("layout", LAYOUTS, ids=lambda one: one.name)
every_conveyor = pytest.mark.parametrize("conveyor", OPEN_CONVEYORS, ids=lambda one: one["tag"])


def gravity_loop() -> Loop:
    return build_loop(lay_out(LayoutFigures(150, 1000, 800, take_up=TakeUpKind.GRAVITY)))


def canvas_of(loop: Loop, layout, *, with_lane: bool = True, lift_m: float = 0.0):
    return canvas_for(loop, layout, lift_m=lift_m, with_lane=with_lane, say=str, tells=str)


def shapes_of(figure: Figure, look: str) -> list[Shape]:
    return [
        shape for place in figure.places for shape in place.shapes if look in shape.look.split()
    ]


def corners(shape: Shape) -> list[tuple[float, float]]:
    """The corners of a path as drawn, y downward."""
    pairs = re.findall(r"[ML]?(-?\d+\.\d) (-?\d+\.\d)", shape.points)
    return [(float(x), float(y)) for x, y in pairs]


def readings(loop: Loop, share: float = 0.5) -> list[RibbonPoint]:
    return [
        RibbonPoint(one.position_m, share, f"{share:g} {one.name}")
        for one in walking_stations(loop)
    ]
