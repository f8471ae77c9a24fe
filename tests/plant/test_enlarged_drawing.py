"""A stretch drawn larger: what is shown of it, its words, its sets one by one, where fingers go."""

import math
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plant.loop.drawing.canvas import canvas_for
from plant.loop.drawing.figure import Reader, Telling, draw_loop
from plant.loop.drawing.labels import Seat, text_box
from plant.loop.drawing.shapes import Form, Mark, RibbonPoint, Rider
from plant.loop.drawing.shown import LEAST_M, Stretch
from plant.loop.layout import LayoutFigures, lay_out
from plant.loop.parts import Part
from plant.loop.path import build_loop
from plant.loop.profile import profile_of
from plant.loop.vocabulary import ComponentKind, Run, TakeUpKind
from tests.plant.drawn_loops import (
    NARROW,
    WIDE,
    every_conveyor,
    every_layout,
    gravity_loop,
    readings,
    shapes_of,
)
from tests.plant.loops import parts_of

READER = Reader(link=lambda part: f"#{part.name}")


def figure_of(loop, layout, stretch, **telling):
    return draw_loop(loop, Telling(stretch=stretch, **telling), layouts=[layout], reader=READER)[0]


@every_layout
def test_the_stretch_fills_most_of_the_width(layout):
    loop = gravity_loop()
    stretch = Stretch(60.0, 90.0)
    canvas = canvas_for(
        loop, layout, lift_m=0.0, stretch=stretch, with_lane=False, say=str, tells=str
    )

    left, right = (canvas.view.path.at(place).x for place in (60.0, 90.0))
    assert canvas.window.left < left < right < canvas.window.right
    assert right - left > 0.7 * (canvas.window.right - canvas.window.left)


@every_layout
def test_a_stretch_over_the_head_is_shown_with_the_head(layout):
    loop = gravity_loop()
    figure = figure_of(loop, layout, Stretch(loop.head_m - 8, loop.head_m + 12))

    names = {shape.text for shape in shapes_of(figure, "part-name")}
    assert "HEAD" in names
    assert "TAIL" not in names


@every_conveyor
@every_layout
def test_no_word_of_a_stretch_stands_on_another_or_outside(conveyor, layout):
    loop = build_loop(parts_of(conveyor))
    marks = [Mark(0.3 * loop.length_m, "case", "LT-C-0007"), Mark(loop.head_m, "due", "HEAD")]
    riders = [Rider(0.31 * loop.length_m, "S1"), Rider(0.3 * loop.length_m, "tear", "", "", False)]
    stretches = [Stretch(0.28 * loop.length_m, 0.34 * loop.length_m), Stretch(loop.tail_m - 5, 4.0)]
    for stretch in stretches:
        figure = figure_of(
            loop, layout, stretch, marks=marks, riders=riders, ribbon=readings(loop), lift_m=3.0
        )
        written = [one for place in figure.places for one in place.shapes if one.form is Form.TEXT]
        boxes = [
            text_box(one.text, Seat(one.x, -one.y, one.anchor), 0.8 * layout.letter)
            for one in written
        ]
        for (one, box), (other, against) in combinations(zip(written, boxes, strict=True), 2):
            assert not box.meets(against), (one.text, other.text)
        assert all(figure.left <= box.left and box.top >= figure.top for box in boxes)
        assert all(box.right <= figure.left + figure.width for box in boxes)


def test_sets_are_single_and_numbered_where_there_is_room():
    loop = gravity_loop()
    group = next(one for one in loop.parts if one.kind is ComponentKind.TROUGHING_IDLERS)
    stretch = Stretch(70.0, 80.0)

    figure = figure_of(loop, WIDE, stretch)

    inside = [one for one in group.stations() if 70 <= one.position_m <= 80]
    names = {shape.text for shape in shapes_of(figure, "set-name")}
    assert inside
    assert {one.name for one in inside} <= names
    whole = figure_of(loop, WIDE, None)
    assert not shapes_of(whole, "set-name")
    assert [one.href for one in whole.places].count(f"#{group.name}") == 1


def test_the_keyboard_comes_past_in_the_order_of_the_belt():
    loop = gravity_loop()
    figure = figure_of(loop, WIDE, None, marks=[Mark(75.0, "case", "A", "#case")])

    linked = [place for place in figure.places if place.href]
    assert [one.at_m for one in linked] == sorted(one.at_m for one in linked)
    assert all(one.label for one in linked)
    hrefs = [one.href for one in linked]
    assert hrefs.index("#LOAD") < hrefs.index("#case") < hrefs.index("#HEAD")
    assert hrefs.index("#HEAD") < hrefs.index("#TAKE-UP") < hrefs.index("#TAIL")


@every_layout
def test_fingers_meet_each_place_and_no_ground_covers_a_neighbour(layout):
    loop = gravity_loop()
    stretch = Stretch(loop.head_m - 10, loop.head_m + 6)
    for figure in (figure_of(loop, layout, None), figure_of(loop, layout, stretch)):
        grounds = shapes_of(figure, "touch")
        assert grounds
        for one, other in combinations(grounds, 2):
            apart = math.dist((one.x, one.y), (other.x, other.y))
            assert apart >= min(one.radius + other.radius, 17.9) - 0.2


@every_layout
def test_splices_and_belt_marks_ride_where_they_are(layout):
    loop = gravity_loop()
    riders = [Rider(40.0, "S1", "splice S1"), Rider(60.0, "tear", "tear", "", False, 3.0)]

    figure = figure_of(loop, layout, None, riders=riders)

    labels = {place.label: place.at_m for place in figure.places if place.look.startswith("rider")}
    assert labels == {"splice S1": 40.0, "tear": 60.0}
    assert len(shapes_of(figure, "belt-mark-length")) == 1
    elsewhere = figure_of(loop, layout, Stretch(100.0, 120.0), riders=riders)
    assert not shapes_of(elsewhere, "splice")


def test_heights_stand_at_the_corners_of_a_surveyed_run():
    loop = build_loop(lay_out(LayoutFigures(150, 1000, 800, take_up=TakeUpKind.SCREW)))
    profile = profile_of([(0, 2), (70, 3.5), (150, 14.25)])

    figure = figure_of(loop, WIDE, None, profile=profile)

    heights = {shape.text for shape in shapes_of(figure, "level-number")}
    assert {"2.00", "3.50", "14.25"} >= heights >= {"3.50"}


@settings(deadline=None, max_examples=40)
@given(st.floats(0, 311), st.floats(0.1, 300))
def test_any_stretch_is_drawn_in_finite_numbers(from_m, length_m):
    loop = gravity_loop()
    stretch = Stretch(from_m, (from_m + length_m) % loop.length_m)
    for layout in (WIDE, NARROW):
        figure = figure_of(
            loop, layout, stretch, lift_m=12.0, ribbon=[RibbonPoint(75.0, 0.4, "R 40 mm")]
        )
        assert figure.width >= layout.width - 1
        assert 40 < figure.height < 1200
        assert [at for _x, at in figure.places_along] == sorted(
            at for _x, at in figure.places_along
        )


@given(st.floats(0, 300), st.floats(1, 290), st.floats(0.3, 3))
def test_larger_and_smaller_keep_the_middle_and_end_at_the_whole(from_m, length_m, factor):
    stretch = Stretch(from_m, (from_m + length_m) % 310)
    found = stretch.resized(factor, 310)
    if found is None:
        assert max(LEAST_M, factor * stretch.length_m(310)) >= 155
        return
    middle = (stretch.from_m + stretch.length_m(310) / 2) % 310
    again = (found.from_m + found.length_m(310) / 2) % 310
    assert abs((middle - again + 155) % 310 - 155) < 1e-6
    assert found.length_m(310) == pytest.approx(max(LEAST_M, factor * stretch.length_m(310)))


def test_ten_thousand_sets_are_drawn_as_few_shapes():
    parts = list(lay_out(LayoutFigures(6000, 1000, 800, take_up=TakeUpKind.SCREW)))
    parts += [
        Part(f"X{number}", ComponentKind.BELT_CLEANER, Run.RETURN, 6100.0 + number)
        for number in range(50)
    ]
    loop = build_loop(parts)
    assert sum(part.count for part in loop.parts) > 6000

    whole = figure_of(loop, WIDE, None)
    stretch = figure_of(loop, WIDE, Stretch(3000.0, 3060.0))

    assert len(whole.places) < 150
    assert len(stretch.places) < 250
    assert sum(len(shape.points) for place in whole.places for shape in place.shapes) < 60_000


def test_thousands_of_sets_registered_one_by_one_are_one_place_each_when_enlarged():
    ends = [part for part in lay_out(LayoutFigures(4000, 1000, 800)) if not part.is_idler]
    idlers = ComponentKind.TROUGHING_IDLERS
    sets = [Part(f"C{one}", idlers, Run.CARRYING, 10 + one * 0.95) for one in range(4000)]
    loop = build_loop([*ends, *sets])

    whole = figure_of(loop, WIDE, None)
    stretch = figure_of(loop, WIDE, Stretch(2000.0, 2020.0))

    assert len(whole.places) < 150
    assert len(shapes_of(whole, "troughing-idlers")) == 1
    linked = {one.href for one in stretch.places}
    assert {f"#C{one}" for one in range(2096, 2114)} <= linked
    assert len(stretch.places) < 120


@pytest.mark.parametrize("take_up", TakeUpKind)
def test_enlarged_on_a_telephone_no_strip_lies_on_the_belt(take_up):
    loop = build_loop(lay_out(LayoutFigures(800, 1000, 800, take_up=take_up)))
    profile = profile_of([(0, 9), (250, 4), (430, 20), (800, 16)])
    for from_m in (100.0, 240.0, 600.0, 760.0):
        canvas = canvas_for(
            loop,
            NARROW,
            lift_m=0.0,
            profile=profile,
            stretch=Stretch(from_m, from_m + 40),
            with_lane=True,
            say=str,
            tells=str,
        )
        steps = [loop.length_m * step / 4000 for step in range(4000)]
        belt = [
            spot for place in steps if canvas.window.shows((spot := canvas.view.path.at(place)).x)
        ]
        for place in (from_m + 20, loop.tail_m - from_m - 20):
            strip = canvas.lane.at(place)
            near = [one.y for one in belt if abs(one.x - strip.x) < 12]
            assert near
            assert all(abs(y - strip.y) > NARROW.half for y in near)
