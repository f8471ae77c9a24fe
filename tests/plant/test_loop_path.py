"""The belt's path: order, lengths, and what cannot be."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plant.loop.checks import check_parts
from plant.loop.layout import LayoutFigures, lay_out
from plant.loop.parts import GeometryError, IncompleteLoopError, Part
from plant.loop.path import belt_revolution_time_s, build_loop
from plant.loop.turns import is_closed, turns_of
from plant.loop.vocabulary import ComponentKind, Run
from tests.plant.loops import OPEN_CONVEYORS, changed, layouts, parts_of, short_loop

K = ComponentKind


@pytest.mark.parametrize("conveyor", OPEN_CONVEYORS, ids=lambda one: one["tag"])
def test_path_of_an_open_conveyor_is_as_long_as_its_belt(conveyor):
    loop = build_loop(parts_of(conveyor), belt_length_m=conveyor["belt_length_m"])

    assert loop.length_m == pytest.approx(conveyor["belt_length_m"], rel=1e-3)
    assert loop.questions == ()


@pytest.mark.parametrize("conveyor", OPEN_CONVEYORS, ids=lambda one: one["tag"])
def test_pulleys_of_an_open_conveyor_bring_the_belt_round_once(conveyor):
    loop = build_loop(parts_of(conveyor))

    assert sum(turns_of(loop.pulleys)) == pytest.approx(-360)


@settings(deadline=None)
@given(layouts())
def test_stations_follow_each_other_in_the_direction_of_travel(figures):
    loop = build_loop(lay_out(figures))

    positions = [station.position_m for station in loop.stations]
    assert positions == sorted(positions)
    assert all(0 <= position < loop.length_m for position in positions)
    runs = [station.run for station in loop.stations]
    assert runs == sorted(runs, key=[Run.CARRYING, Run.RETURN].index)


@settings(deadline=None)
@given(layouts())
def test_a_laid_out_conveyor_makes_a_closed_loop_without_questions(figures):
    parts = lay_out(figures)

    loop = build_loop(parts)

    assert is_closed(turns_of(loop.pulleys))
    assert loop.head_m == pytest.approx(figures.centre_distance_m, abs=1e-3)
    strands = loop.length_m - sum(part.arc_m for part in loop.pulleys)
    assert strands >= 2 * figures.centre_distance_m - figures.take_up_diameter_mm / 1000 - (
        2 * figures.bend_diameter_mm / 1000
    )


@settings(deadline=None)
@given(layouts(), st.randoms())
def test_the_order_of_the_rows_does_not_matter(figures, random):
    parts = list(lay_out(figures))
    shuffled = parts[:]
    random.shuffle(shuffled)

    assert build_loop(shuffled) == build_loop(parts)


@settings(deadline=None)
@given(st.floats(1, 1e5), st.floats(0.01, 20), st.floats(0.1, 10))
def test_revolution_time_scales_with_length_and_against_speed(length_m, speed_mps, factor):
    once = belt_revolution_time_s(length_m, speed_mps)

    assert belt_revolution_time_s(factor * length_m, speed_mps) == pytest.approx(factor * once)
    assert belt_revolution_time_s(length_m, factor * speed_mps) == pytest.approx(once / factor)
    assert belt_revolution_time_s(length_m, -speed_mps) == once


@pytest.mark.parametrize(
    ("length_m", "speed_mps"), [(0, 1), (-3, 1), (math.inf, 1), (10, 0), (10, math.nan)]
)
def test_revolution_of_no_belt_or_a_standing_one_is_refused(length_m, speed_mps):
    with pytest.raises(ValueError, match=r"belt_(length_m|speed_mps)"):
        belt_revolution_time_s(length_m, speed_mps)


@settings(deadline=None)
@given(st.floats(0, 42), st.floats(0, 42))
def test_the_way_there_and_the_way_back_make_one_round(one_m, other_m):
    loop = build_loop(short_loop())

    there, back = loop.ahead_m(one_m, other_m), loop.ahead_m(other_m, one_m)

    assert math.isclose((there + back) % loop.length_m, 0, abs_tol=1e-6) or math.isclose(
        there + back, loop.length_m, abs_tol=1e-6
    )
    assert loop.apart_m(one_m, other_m) == pytest.approx(min(there, back), abs=1e-9)
    assert loop.apart_m(one_m, other_m) <= loop.length_m / 2


def test_a_place_past_the_seam_is_the_same_place():
    loop = build_loop(short_loop())

    assert loop.wrap(loop.length_m + 3) == pytest.approx(3)
    assert loop.run_at(20) is Run.CARRYING
    assert loop.run_at(20.001) is Run.RETURN
    assert loop.run_at(loop.length_m) is Run.CARRYING


def test_a_station_is_found_whatever_the_case_of_its_letters():
    loop = build_loop(short_loop())

    assert loop.station_named(" c3 ").position_m == pytest.approx(6.6)
    assert loop.station_named("C99") is None
    assert loop.nearest_station(41.9).name == "TAIL"


REFUSED = [
    (changed("C", first_m=2.9), "C", "first_m", "may not overlap"),
    (changed("C", first_m=3.0), "C", "first_m", "may not overlap"),
    (changed("I", count=40), "I", "count", "past the head pulley"),
    (changed("R", count=8), "R", "count", "past the tail pulley"),
    (changed("R", first_m=19.0), "R", "first_m", "before the head pulley"),
    (changed("HEAD", first_m=0.0), "HEAD", "first_m", "must stand past 0 m"),
    (changed("HEAD", first_m=50.0), "HEAD", "first_m", "must come before"),
    (changed("HEAD", run=Run.RETURN), "HEAD", "run", "carrying run only"),
    (changed("TAIL", run=Run.CARRYING), "TAIL", "run", "return run only"),
    (changed("C", run=Run.RETURN, first_m=25.5), "C", "run", "carrying run only"),
    (changed("R", run=Run.CARRYING), "R", "run", "return run only"),
    (changed("C", name="I"), None, "name", "used twice"),
    (changed("LOAD", name="c2"), None, "name", "used twice"),
    (changed("R", name="  "), "  ", "name", "needs a name"),
    (changed("LOAD", first_m=-0.1), "LOAD", "first_m", "from 0 m on"),
    (changed("LOAD", first_m=math.nan), "LOAD", "first_m", "from 0 m on"),
    (changed("LOAD", length_m=-1.0), "LOAD", "length_m", "from 0 m on"),
    (changed("C", count=0), "C", "count", "1 or more"),
    (changed("C", spacing_m=0.0), "C", "spacing_m", "above 0 m"),
    (changed("C", spacing_m=None), "C", "spacing_m", "needs a spacing"),
    (changed("TAIL", diameter_mm=None), "TAIL", "diameter_mm", "diameter in mm"),
    (changed("TAIL", diameter_mm=0.0), "TAIL", "diameter_mm", "above 0"),
    (changed("HEAD", wrap_deg=400.0), "HEAD", "wrap_deg", "at most 360"),
    (changed("HEAD", in_deg=math.inf), "HEAD", "in_deg", "number of degrees"),
]


@pytest.mark.parametrize(("parts", "part", "field", "words"), REFUSED)
def test_what_cannot_be_is_refused_with_the_part_and_the_field_to_mend(parts, part, field, words):
    with pytest.raises(GeometryError, match=words) as refused:
        build_loop(parts)

    assert refused.value.field == field
    assert part is None or refused.value.part == part
    assert not isinstance(refused.value, IncompleteLoopError)


def test_pulleys_that_stand_in_each_others_wrap_are_refused():
    snub = Part("SNUB", K.SNUB_PULLEY, Run.RETURN, 20.5, diameter_mm=300, wrap_deg=20)

    with pytest.raises(GeometryError, match=r"still on HEAD, which it leaves at 20\.942 m"):
        build_loop([*short_loop(), snub])


def test_a_pulley_right_behind_another_ones_wrap_is_accepted():
    arc_m = math.pi * 0.6 / 2
    at_m = round(20 + arc_m, 3)
    snub = Part("SNUB", K.SNUB_PULLEY, Run.RETURN, at_m, diameter_mm=300, wrap_deg=20)

    loop = build_loop([*short_loop(), snub])

    assert [part.name for part in loop.pulleys] == ["HEAD", "SNUB", "TAIL"]


def test_two_head_pulleys_are_refused_by_name():
    second = replace(short_loop()[3], name="HEAD 2", first_m=19.0)

    with pytest.raises(GeometryError, match="one head pulley; there are 2"):
        build_loop([*short_loop(), second])


@pytest.mark.parametrize(
    ("missing", "words"),
    [
        ({"HEAD"}, "The head pulley is missing"),
        ({"TAIL"}, "The tail pulley is missing"),
        ({"HEAD", "TAIL"}, "The head pulley and the tail pulley are missing"),
    ],
)
def test_a_loop_without_its_ends_is_not_complete(missing, words):
    parts = [part for part in short_loop() if part.name not in missing]

    with pytest.raises(IncompleteLoopError, match=words):
        build_loop(parts)


def test_while_the_ends_are_missing_the_rest_is_checked_already():
    parts = [part for part in changed("C", first_m=2.9) if part.name not in {"HEAD", "TAIL"}]

    with pytest.raises(GeometryError, match="may not overlap") as refused:
        check_parts(parts)

    assert not isinstance(refused.value, IncompleteLoopError)


@pytest.mark.parametrize(
    ("belt_length_m", "words"),
    [(40.0, "shorter than its path"), (46.0, "longer than its path"), (43.0, None)],
)
def test_a_belt_of_another_length_than_its_path_is_asked_about(belt_length_m, words):
    loop = build_loop(short_loop(), belt_length_m=belt_length_m)

    assert loop.length_m == pytest.approx(42 + math.pi * 0.3)
    assert [words in question for question in loop.questions] == ([True] if words else [])


def test_figures_that_find_no_room_are_refused_by_field():
    from plant.loop.layout import LayoutError
    from plant.loop.vocabulary import TakeUpKind

    gravity = LayoutFigures(30, 600, 600, take_up=TakeUpKind.GRAVITY, take_up_after_head_m=29)

    with pytest.raises(LayoutError, match="past the tail") as past:
        lay_out(gravity)
    with pytest.raises(LayoutError, match="load point") as load:
        lay_out(LayoutFigures(30, 600, 600, load_at_m=28))
    with pytest.raises(LayoutError, match="above 0") as zero:
        lay_out(LayoutFigures(30, 0, 600))

    assert [one.value.field for one in (past, load, zero)] == [
        "take_up_after_head_m",
        "load_at_m",
        "head_diameter_mm",
    ]
