"""Computed lines in the drawing's lane: where they run, and how they stand beside readings."""

import math
import statistics

import pytest

from plant.loop.drawing.figure import Telling, draw_loop
from plant.loop.drawing.shapes import Curve, RibbonPoint, Shape
from tests.plant.drawn_loops import (
    NARROW,
    WIDE,
    canvas_of,
    corners,
    every_layout,
    gravity_loop,
    readings,
    shapes_of,
)

LOOP = gravity_loop()


def curve(share: float, *, points: int = 60, is_filled: bool = True, label: str = "") -> Curve:
    step = LOOP.tail_m / points
    return Curve(
        tuple(
            RibbonPoint(number * step, share, label if number == points // 3 else "")
            for number in range(points + 1)
        ),
        is_filled=is_filled,
    )


def drawn(*curves: Curve, layout=WIDE, **more):
    return draw_loop(LOOP, Telling(curves=curves, **more), layouts=[layout])[0]


def ways_from_middle(line: Shape) -> list[float]:
    """Distance of a line's corners from the lane's middle, in half widths of the lane."""
    lane = canvas_of(LOOP, WIDE).lane
    spots = [lane.at(number * LOOP.length_m / 4000) for number in range(4000)]
    return [
        min(math.hypot(x - spot.x, y + spot.y) for spot in spots) / lane.half
        for x, y in corners(line)
    ]


def test_an_even_offset_is_a_line_beside_the_middle_of_the_lane():
    line = shapes_of(drawn(curve(0.5)), "curve")[0]

    ways = ways_from_middle(line)
    # On the inner side of a corner the line keeps its distance from the corner alone.
    assert statistics.median(ways) == pytest.approx(0.5, abs=0.01)
    assert 0.4 < min(ways) <= max(ways) < 0.8
    assert corners(line)[0] == pytest.approx(corners(line)[-1], abs=0.2)


@every_layout
def test_a_mirrored_offset_lies_on_the_other_side(layout):
    right, left = (shapes_of(drawn(curve(share), layout=layout), "curve") for share in (0.6, -0.6))

    lane = canvas_of(LOOP, layout).lane
    for one, other in zip(right, left, strict=True):
        for (x0, y0), (x1, y1) in zip(corners(one), corners(other), strict=True):
            assert math.hypot(x1 - x0, y1 - y0) == pytest.approx(1.2 * lane.half, abs=0.2)


def test_in_strips_the_line_breaks_with_the_lane():
    lines = shapes_of(drawn(curve(0.5), layout=NARROW), "curve")

    assert len(lines) == 2


def test_the_first_line_has_a_ground_and_a_second_is_dashed_beside_it():
    figure = drawn(curve(0.5), curve(0.2, is_filled=False))

    assert len(shapes_of(figure, "curve-ground")) == 1
    assert len(shapes_of(figure, "curve-beside")) == 1


def test_the_label_stands_in_words_at_the_peak():
    points = (
        RibbonPoint(0, 0.0),
        RibbonPoint(40, 0.5, "45 mm right"),
        RibbonPoint(80, 0.3),
        RibbonPoint(120, 0.0),
    )

    written = shapes_of(drawn(Curve(points)), "curve-words")

    assert [one.text for one in written] == ["45 mm right"]


def test_readings_beside_a_line_are_dots_and_no_ribbon():
    seen = readings(LOOP)

    figure = drawn(curve(0.3), ribbon=seen)

    assert len(shapes_of(figure, "reading")) == len(seen)
    assert shapes_of(figure, "ribbon") == []
    assert shapes_of(figure, "ribbon-edge") == []


def test_dots_beside_a_line_are_larger_than_on_a_ribbon():
    alone = draw_loop(LOOP, Telling(ribbon=readings(LOOP)), layouts=[WIDE])[0]
    beside = drawn(curve(0.3), ribbon=readings(LOOP))

    assert shapes_of(beside, "reading")[0].radius > shapes_of(alone, "reading")[0].radius


def test_a_line_beyond_all_bounds_stays_near_the_lane():
    line = shapes_of(drawn(curve(50.0)), "curve")[0]

    assert max(ways_from_middle(line)) < 1.4


def test_no_points_draw_no_line():
    figure = drawn(Curve(()))

    assert shapes_of(figure, "curve") == []
