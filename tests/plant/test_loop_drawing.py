"""The drawing's words and what is laid over it: read back from the shapes."""

import math
import re
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plant.loop.drawing.canvas import LAYOUTS
from plant.loop.drawing.figure import Telling, draw_loop
from plant.loop.drawing.labels import Seat, text_box
from plant.loop.drawing.shapes import Form, Mark, RibbonPoint
from plant.loop.layout import lay_out
from plant.loop.path import build_loop
from plant.loop.vocabulary import TakeUpKind
from plant.loop.walking import walking_stations
from tests.plant.drawn_loops import (
    NARROW,
    WIDE,
    canvas_of,
    corners,
    every_conveyor,
    every_layout,
    gravity_loop,
    readings,
    shapes_of,
)
from tests.plant.loops import OPEN_CONVEYORS, changed, layouts, odd_loops, parts_of, short_loop


@every_conveyor
@every_layout
def test_no_word_stands_on_another_or_outside(conveyor, layout):
    loop = build_loop(parts_of(conveyor))
    marks = [
        Mark(0.3 * loop.length_m, "case", "LT-C-0007"),
        Mark(0.31 * loop.length_m, "onset", "first off centre"),
        Mark(loop.head_m, "suspected", "head pulley"),
    ]
    for ribbon in ([], readings(loop)):
        telling = Telling(conveyor["lift_m"], TakeUpKind.GRAVITY, True, ribbon, marks)
        figure = draw_loop(loop, telling, layouts=[layout])[0]
        written = [
            shape for place in figure.places for shape in place.shapes if shape.form is Form.TEXT
        ]
        boxes = [
            text_box(one.text, Seat(one.x, -one.y, one.anchor), 0.8 * layout.letter)
            for one in written
        ]
        for (one, box), (other, against) in combinations(zip(written, boxes, strict=True), 2):
            assert not box.meets(against), (one.text, other.text)
        for box in boxes:
            assert figure.left <= box.left
            assert box.right <= figure.left + figure.width
            assert figure.top <= box.top
            assert box.bottom <= figure.top + figure.height


@every_layout
def test_head_and_tail_and_take_up_have_their_names(layout):
    figure = draw_loop(gravity_loop(), Telling(), layouts=[layout])[0]

    names = {shape.text for shape in shapes_of(figure, "part-name")}
    assert {"HEAD", "TAIL", "TAKE-UP", "LOAD"} <= names


@every_layout
def test_right_is_outside_the_loop_on_both_runs(layout):
    loop = gravity_loop()
    lane = canvas_of(loop, layout).lane

    for position_m, up in ((0.5 * loop.head_m, 1), (loop.tail_m - 20, -1)):
        middle, right, left = (lane.offset(position_m, share)[1] for share in (0, 0.6, -0.6))
        assert up * (right - middle) == pytest.approx(0.6 * layout.half, abs=0.2)
        assert up * (middle - left) == pytest.approx(0.6 * layout.half, abs=0.2)


@settings(deadline=None, max_examples=30)
@given(layouts())
def test_a_mirrored_belt_is_a_mirrored_ribbon(figures):
    loop = build_loop(lay_out(figures))
    for layout in LAYOUTS:
        lane = canvas_of(loop, layout, lift_m=5.0).lane
        for station in walking_stations(loop):
            one, other = (lane.offset(station.position_m, share) for share in (0.7, -0.7))
            middle = lane.at(station.position_m)
            assert (one[0] + other[0]) / 2 == pytest.approx(middle.x, abs=1e-6)
            assert (one[1] + other[1]) / 2 == pytest.approx(middle.y, abs=1e-6)
            assert math.dist(one, other) == pytest.approx(1.4 * layout.half)


@every_conveyor
@every_layout
def test_readings_stand_in_the_order_of_the_belt(conveyor, layout):
    loop = build_loop(parts_of(conveyor))
    lane = canvas_of(loop, layout, lift_m=conveyor["lift_m"]).lane

    assert list(lane.positions) == sorted(lane.positions)
    carrying = [lane.at(share * loop.head_m).x for share in (0.05, 0.2, 0.4, 0.6, 0.95)]
    assert carrying == sorted(carrying)


def test_an_offset_is_drawn_as_far_as_its_share_of_the_clearance():
    loop = gravity_loop()
    point = RibbonPoint(75.0, -0.4, "L 40 mm", "#c50")

    figure = draw_loop(loop, Telling(ribbon=[point]), layouts=[WIDE])[0]

    dot = shapes_of(figure, "reading")[0]
    lane = canvas_of(loop, WIDE).lane
    x, y = lane.offset(75.0, -0.4)
    assert (dot.x, dot.y) == (round(x, 1), round(-y, 1))
    assert "L 40 mm" in {shape.text for shape in shapes_of(figure, "reading-words")}
    linked = [place for place in figure.places if place.href == "#c50"]
    assert [place.label for place in linked] == ["L 40 mm"]
    assert shapes_of(figure, "touch")


def test_an_offset_beyond_the_clearance_is_drawn_at_the_rim_and_marked():
    loop = gravity_loop()
    telling = Telling(ribbon=[RibbonPoint(50, 7.0, "a"), RibbonPoint(60, 0.79, "b")])

    figure = draw_loop(loop, telling, layouts=[WIDE])[0]

    beyond = [one for one in shapes_of(figure, "reading") if "beyond" in one.look]
    assert len(beyond) == 1
    spot = canvas_of(loop, WIDE).lane.at(50)
    assert math.dist((beyond[0].x, -beyond[0].y), (spot.x, spot.y)) < 1.3 * WIDE.half
    assert shapes_of(figure, "ribbon-beyond") == []


def test_both_ends_beyond_give_the_ribbon_an_edge_of_warning():
    telling = Telling(ribbon=[RibbonPoint(50, 0.9, "a"), RibbonPoint(60, 0.85, "b")])

    figure = draw_loop(gravity_loop(), telling, layouts=[WIDE])[0]

    assert len(shapes_of(figure, "ribbon-beyond")) == 1


def test_the_ribbon_has_a_gap_where_nobody_looked():
    loop = gravity_loop()
    near = Telling(ribbon=[RibbonPoint(10, 0.5), RibbonPoint(30, 0.5)])
    far = Telling(ribbon=[RibbonPoint(10, 0.5), RibbonPoint(140, 0.5)])

    assert len(shapes_of(draw_loop(loop, near, layouts=[WIDE])[0], "ribbon")) == 1
    assert shapes_of(draw_loop(loop, far, layouts=[WIDE])[0], "ribbon") == []


def test_the_ribbon_goes_on_over_the_seam():
    loop = gravity_loop()
    telling = Telling(ribbon=[RibbonPoint(loop.length_m - 4, 0.5), RibbonPoint(5, 0.5)])

    assert len(shapes_of(draw_loop(loop, telling, layouts=[WIDE])[0], "ribbon")) == 1


@pytest.mark.parametrize("at", ["head", "seam"])
def test_strips_never_draw_the_ribbon_across_the_loop(at):
    loop = gravity_loop()
    place = loop.head_m if at == "head" else loop.length_m
    points = [RibbonPoint(place - 6, 0.5), RibbonPoint((place + 6) % loop.length_m, 0.5)]

    figure = draw_loop(loop, Telling(ribbon=points), layouts=[NARROW])[0]

    pieces = shapes_of(figure, "ribbon-edge")
    assert len(pieces) == 2
    for piece in pieces:
        for one, other in pairwise(corners(piece)):
            assert math.dist(one, other) < 40


def test_marks_stand_on_the_belt_in_order_with_a_form_of_their_own():
    loop = gravity_loop()
    marks = [
        Mark(100, "case", "LT-C-0002", "/cases/LT-C-0002/"),
        Mark(20, "onset", "C9"),
        Mark(60, "suspected", "C40"),
        Mark(130, "work", "LT-W-0003"),
        Mark(140, "something else", "x"),
    ]

    figure = draw_loop(loop, Telling(marks=marks), layouts=[WIDE])[0]

    feet = [shape.x for shape in shapes_of(figure, "pin-foot")]
    assert feet == sorted(feet)
    path = canvas_of(loop, WIDE, with_lane=False).view.path
    assert feet == [round(path.at(one.position_m).x, 1) for one in sorted(marks, key=_place)]
    pinned = [place for place in figure.places if "pinned" in place.look]
    assert [place.look for place in pinned] == [
        f"pinned pinned-{kind}" for kind in ("onset", "suspected", "case", "work", "other")
    ]
    assert [place.href for place in pinned][2] == "/cases/LT-C-0002/"
    heads = [
        tuple((one.form, one.points.count("L")) for one in place.shapes if "pin-head" in one.look)
        for place in pinned[:4]
    ]
    assert len({head[0] for head in heads[:3]}) == 3


def _place(mark: Mark) -> float:
    return mark.position_m


@pytest.mark.parametrize("is_reversing", [True, False])
def test_the_way_of_travel_is_drawn_and_both_ways_where_the_belt_reverses(is_reversing):
    for layout in LAYOUTS:
        telling = Telling(is_reversing=is_reversing)
        figure = draw_loop(build_loop(short_loop()), telling, layouts=[layout])[0]
        arrows = shapes_of(figure, "travel")
        assert len(arrows) == 1
        assert arrows[0].points.count("M") == (4 if is_reversing else 2)


def test_crowded_idlers_are_thinned_out_until_they_can_be_told_apart():
    loop = build_loop(parts_of(next(one for one in OPEN_CONVEYORS if one["tag"] == "W07")))

    for layout in LAYOUTS:
        figure = draw_loop(loop, Telling(), layouts=[layout])[0]
        for group in shapes_of(figure, "troughing-idlers"):
            xs = [float(x) for x in re.findall(r"M(-?\d+\.\d)", group.points)]
            assert all(after - before >= layout.tick - 0.2 for before, after in pairwise(xs))


def test_a_change_of_names_changes_no_place():
    one = draw_loop(build_loop(short_loop()), Telling(), layouts=[WIDE])[0]
    other = draw_loop(build_loop(changed("R", name="Q")), Telling(), layouts=[WIDE])[0]

    assert shapes_of(one, "belt") == shapes_of(other, "belt")


@settings(deadline=None, max_examples=60)
@given(odd_loops(), st.floats(-2000, 2000), st.sampled_from(TakeUpKind), st.booleans())
def test_any_possible_loop_is_drawn_in_finite_numbers(loop, lift_m, take_up, is_reversing):
    ribbon = [
        RibbonPoint(share * loop.length_m, share - 0.5, "x") for share in (0, 0.3, 0.5, 0.6, 0.99)
    ]
    marks = [Mark(loop.head_m, "onset", "head"), Mark(loop.tail_m, "case", "tail")]

    for over in (
        Telling(lift_m, take_up, is_reversing),
        Telling(lift_m, ribbon=ribbon, marks=marks),
    ):
        for figure in draw_loop(loop, over):
            assert "nan" not in figure.window
            assert 0 < figure.height < 5000
            for shape in (one for place in figure.places for one in place.shapes):
                assert "nan" not in shape.points
                assert "inf" not in shape.points
                assert math.isfinite(shape.x + shape.y + shape.radius)
