"""The loop over surveyed heights: true along the plan, right in height, bent on both strands."""

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plant.loop.drawing.canvas import LAYOUTS, canvas_for
from plant.loop.drawing.side_path import Straight
from plant.loop.layout import LayoutFigures, lay_out
from plant.loop.path import build_loop
from plant.loop.profile import profile_of
from plant.loop.vocabulary import TakeUpKind
from tests.plant.drawn_loops import WIDE, every_layout

# Level, a concave curve up, an incline, and a crest to the head: an invented yard conveyor.
YARD = [(0, 2), (60, 2), (80, 3), (170, 20), (190, 21.5), (240, 21.5)]


def yard_loop(take_up=TakeUpKind.GRAVITY):
    return build_loop(lay_out(LayoutFigures(240, 1000, 800, take_up=take_up)))


def canvas_over(loop, layout, points, *, with_lane=True):
    profile = profile_of(points)
    return canvas_for(
        loop, layout, lift_m=99.0, profile=profile, with_lane=with_lane, say=str, tells=str
    )


@every_layout
@pytest.mark.parametrize("with_lane", [True, False])
def test_heights_and_distances_of_the_carrying_run_are_to_scale(layout, with_lane):
    loop = yard_loop()
    profile = profile_of(YARD)
    view = canvas_over(loop, layout, YARD, with_lane=with_lane).view

    scale = view.ground.xs[-1] / profile.horizontal_at(loop.head_m)
    foot = view.path.at(30.0)
    for at_m, height_m in YARD[1:-1]:
        spot = view.path.at(at_m)
        risen = view.ground.heights_drawn * scale * (height_m - 2)
        assert spot.x - foot.x == pytest.approx(
            scale * (profile.horizontal_at(at_m) - 30), abs=0.05 * layout.width
        )
        assert spot.y - foot.y == pytest.approx(risen, abs=1.5)


@every_layout
def test_the_lengths_along_the_drawn_run_add_up_to_the_path(layout):
    """Undo the exaggeration of heights: the drawn carrying run is as long as the true one."""
    loop = yard_loop(TakeUpKind.SCREW)
    view = canvas_over(loop, layout, YARD, with_lane=False).view
    scale, factor = view.ground.scale, view.ground.heights_drawn
    plan_scale = view.ground.xs[-1] / profile_of(YARD).horizontal_at(loop.head_m)

    for run in (lambda one: one.end_m <= loop.head_m, lambda one: one.start_m > loop.head_m):
        strands = [one for one in view.path.pieces if isinstance(one, Straight) and run(one)]
        drawn_m = sum(
            math.hypot(
                one.length * math.cos(one.start.heading_rad) / plan_scale,
                one.length * math.sin(one.start.heading_rad) / (plan_scale * factor),
            )
            for one in strands
        )
        assert drawn_m == pytest.approx(loop.head_m, rel=0.02)
    assert scale > 0


@every_layout
@pytest.mark.parametrize("take_up", [TakeUpKind.GRAVITY, TakeUpKind.SCREW, TakeUpKind.FIXED])
def test_both_strands_bend_where_the_structure_does(layout, take_up):
    view = canvas_over(yard_loop(take_up), layout, YARD).view

    for strand in (view.path.at(120), view.path.at(yard_loop(take_up).tail_m - 120)):
        lean = math.remainder(strand.heading_rad, math.pi)
        assert lean == pytest.approx(view.ground.lean_at(strand.x), abs=0.12)


@st.composite
def surveys(draw):
    places = sorted(draw(st.sets(st.integers(1, 238), min_size=0, max_size=8)))
    points, height_m, last_m = [(0.0, 5.0)], 5.0, 0.0
    for place in [*places, 240]:
        height_m += draw(st.floats(-0.3, 0.3)) * (place - last_m)
        points.append((float(place), height_m))
        last_m = place
    return points


@settings(deadline=None, max_examples=40)
@given(surveys(), st.sampled_from(TakeUpKind))
def test_over_any_heights_the_belt_goes_round_without_a_jump(points, take_up):
    loop = yard_loop(take_up)

    for layout in LAYOUTS:
        canvas = canvas_over(loop, layout, points)
        pieces = canvas.view.path.pieces
        for one, other in pairwise([*pieces, pieces[0]]):
            end, start = one.at(1.0), other.at(0.0)
            assert math.dist((end.x, end.y), (start.x, start.y)) < 0.01
        assert all(one.end_m == pytest.approx(other.start_m) for one, other in pairwise(pieces))
        assert pieces[-1].end_m == pytest.approx(loop.length_m)
        assert list(canvas.lane.positions) == sorted(canvas.lane.positions)
        there = [canvas.view.path.at(loop.head_m * step / 20).x for step in range(21)]
        assert there == sorted(there)


def test_a_level_profile_is_drawn_as_a_level_conveyor():
    loop = yard_loop()
    level = canvas_over(loop, WIDE, [(0, 7), (240, 7)]).view
    plain = canvas_for(loop, WIDE, lift_m=0.0, with_lane=True, say=str, tells=str).view

    assert level.wheels == plain.wheels
    assert level.ground.heights_drawn == 1
