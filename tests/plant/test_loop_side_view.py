"""How the belt and its pulleys stand on the drawing."""

import math
from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings

from plant.loop.drawing.canvas import LAYOUTS
from plant.loop.drawing.figure import Telling, draw_loop
from plant.loop.layout import LayoutFigures, lay_out
from plant.loop.path import build_loop
from plant.loop.vocabulary import Run, TakeUpKind
from tests.plant.drawn_loops import (
    WIDE,
    canvas_of,
    every_conveyor,
    every_layout,
    gravity_loop,
    shapes_of,
)
from tests.plant.loops import layouts, parts_of, short_loop


@settings(deadline=None, max_examples=40)
@given(layouts())
def test_the_belt_goes_round_without_a_jump(figures):
    loop = build_loop(lay_out(figures))

    for layout in LAYOUTS:
        pieces = canvas_of(loop, layout, lift_m=12.0).view.path.pieces
        for one, other in pairwise([*pieces, pieces[0]]):
            end, start = one.at(1.0), other.at(0.0)
            assert math.dist((end.x, end.y), (start.x, start.y)) < 0.01
            assert math.cos(end.heading_rad - start.heading_rad) > 0.9999
        assert pieces[0].start_m == 0
        assert pieces[-1].end_m == pytest.approx(loop.length_m)
        assert all(one.end_m == pytest.approx(other.start_m) for one, other in pairwise(pieces))


@settings(deadline=None, max_examples=40)
@given(layouts())
def test_the_carrying_run_goes_from_left_to_right_above_and_the_return_run_back(figures):
    loop = build_loop(lay_out(figures))
    path = canvas_of(loop, WIDE).view.path

    there = [path.at(loop.head_m * step / 20) for step in range(21)]
    back = [path.at(one.position_m) for one in loop.stations if one.run is Run.RETURN]

    assert all(one.x < other.x for one, other in pairwise(there))
    assert max(spot.y for spot in back[1:-1]) < max(spot.y for spot in there)
    assert back[-1].x < there[-1].x / 4


@every_conveyor
@every_layout
def test_places_stand_true_along_the_carrying_run(conveyor, layout):
    loop = build_loop(parts_of(conveyor))
    path = canvas_of(loop, layout, lift_m=conveyor["lift_m"]).view.path

    start, end = path.at(0.0).x, path.at(loop.head_m).x

    for share in (0.1, 0.33, 0.5, 0.9):
        wanted = start + share * (end - start)
        assert path.at(share * loop.head_m).x == pytest.approx(wanted, abs=2)


@every_conveyor
@every_layout
def test_pulleys_do_not_stand_in_each_other(conveyor, layout):
    loop = build_loop(parts_of(conveyor))
    wheels = canvas_of(loop, layout, lift_m=conveyor["lift_m"]).view.wheels

    for one, other in combinations(wheels, 2):
        apart = math.dist((one.x, one.y), (other.x, other.y))
        assert apart >= one.radius + other.radius - 0.5, (one.name, other.name)


def test_a_gravity_take_up_hangs_between_its_bend_pulleys():
    view = canvas_of(gravity_loop(), WIDE).view
    wheels = {wheel.name: wheel for wheel in view.wheels}

    bend_in, take_up, bend_out = wheels["BEND-1"], wheels["TAKE-UP"], wheels["BEND-2"]

    assert bend_in.x > take_up.x > bend_out.x
    assert take_up.y < min(bend_in.y, bend_out.y) - WIDE.leg / 2
    down = view.path.at((bend_in.to_m + take_up.from_m) / 2)
    assert math.sin(down.heading_rad) == pytest.approx(-1, abs=0.05)


@pytest.mark.parametrize("lift_m", [0.0, 1.0, 12.0, 90.0, -6.0])
def test_the_lift_shows_its_sign_and_stays_inside_the_frame(lift_m):
    loop = gravity_loop()
    for layout in LAYOUTS:
        view = canvas_of(loop, layout, lift_m=lift_m).view
        rise = view.path.at(loop.head_m).y - view.path.at(0.0).y
        assert abs(rise) <= layout.rise + 1
        assert math.copysign(1, rise) == math.copysign(1, lift_m) or abs(lift_m) == abs(rise) == 0
        scale = (view.path.at(loop.head_m).x - view.path.at(0.0).x) / loop.head_m
        assert rise == pytest.approx(view.ground.heights_drawn * lift_m * scale, abs=1.5)


def test_angles_that_do_not_close_the_loop_give_a_plain_drawing_that_says_so():
    loop = build_loop(lay_out(LayoutFigures(150, 800, 800, take_up=TakeUpKind.GRAVITY)))
    odd = [
        replace(one, wrap_deg=70.0, in_deg=None, out_deg=None) if one.name == "BEND-1" else one
        for one in loop.parts
    ]

    figure = draw_loop(build_loop(odd), Telling(), layouts=[WIDE])[0]

    assert figure.is_schematic
    assert len(shapes_of(figure, "pulley")) == 5
    assert not draw_loop(loop, Telling(), layouts=[WIDE])[0].is_schematic


def test_unknown_angles_are_taken_as_usual_for_their_kind():
    figure = draw_loop(build_loop(short_loop()), Telling(), layouts=[WIDE])[0]

    assert not figure.is_schematic
