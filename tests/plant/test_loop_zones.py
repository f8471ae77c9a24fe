"""The zones cover the loop once, and stand where a person would say they are."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plant.loop.layout import LayoutFigures, lay_out
from plant.loop.parts import Part
from plant.loop.path import Loop, build_loop
from plant.loop.vocabulary import ComponentKind, Run, Zone
from plant.loop.zones import skirt_end_m, stretches, zone_at
from tests.plant.loops import OPEN_CONVEYORS, layouts, parts_of, short_loop

K = ComponentKind
_CARRYING_ZONES = {Zone.LOAD, Zone.CARRYING_LOWER, Zone.CARRYING_MID, Zone.CARRYING_UPPER}
_RETURN_ZONES = {Zone.RETURN_BEFORE, Zone.BEND, Zone.TAKE_UP, Zone.RETURN_AFTER}


def _covers_once(loop: Loop) -> None:
    found = stretches(loop)
    assert found[0].start_m == 0
    assert found[-1].end_m == loop.length_m
    for one, other in pairwise(found):
        assert one.end_m == other.start_m
        assert one.start_m < one.end_m
    for stretch in found:
        if stretch.zone in _CARRYING_ZONES:
            assert stretch.end_m <= loop.head_m
        if stretch.zone in _RETURN_ZONES:
            assert stretch.start_m >= loop.head_m


@pytest.mark.parametrize("conveyor", OPEN_CONVEYORS, ids=lambda one: one["tag"])
def test_zones_cover_an_open_conveyor_once(conveyor):
    _covers_once(build_loop(parts_of(conveyor)))


@settings(deadline=None)
@given(layouts())
def test_zones_cover_any_laid_out_conveyor_once(figures):
    _covers_once(build_loop(lay_out(figures)))


@settings(deadline=None)
@given(layouts(), st.lists(st.tuples(st.floats(0, 1), st.floats(0, 40)), max_size=4))
def test_more_load_points_anywhere_leave_no_gap_and_no_overlap(figures, loads):
    last_m = 0.999 * figures.centre_distance_m
    more = [
        Part(f"HOPPER {n}", K.LOAD_POINT, Run.CARRYING, share * last_m, length_m=length)
        for n, (share, length) in enumerate(loads)
    ]

    _covers_once(build_loop([*lay_out(figures), *more]))


@settings(deadline=None)
@given(st.floats(0.5, 60), st.floats(0, 60), st.floats(100, 900), st.floats(0, 1), st.floats(0, 30))
def test_short_loops_with_pulleys_crowded_together_are_covered_once(
    head_m, way_back_m, diameter_mm, load_share, skirt_m
):
    arc_m = 3.1415927 * diameter_mm / 2000
    gap_m = arc_m + 0.01
    at_m = head_m + gap_m
    parts = [
        Part("LOAD", K.LOAD_POINT, Run.CARRYING, load_share * head_m, length_m=skirt_m),
        Part("HEAD", K.HEAD_PULLEY, Run.CARRYING, head_m, diameter_mm=diameter_mm, wrap_deg=180),
        Part("B1", K.BEND_PULLEY, Run.RETURN, at_m, diameter_mm=diameter_mm, wrap_deg=90),
        Part("T", K.TAKE_UP_PULLEY, Run.RETURN, at_m + gap_m, diameter_mm=diameter_mm,
             wrap_deg=180),
        Part("B2", K.BEND_PULLEY, Run.RETURN, at_m + 2 * gap_m, diameter_mm=diameter_mm,
             wrap_deg=90),
        Part("TAIL", K.TAIL_PULLEY, Run.RETURN, at_m + 3 * gap_m + way_back_m,
             diameter_mm=diameter_mm, wrap_deg=180),
    ]  # fmt: skip

    _covers_once(build_loop(parts))


@settings(deadline=None)
@given(layouts(), st.floats(-2, 3))
def test_every_place_has_the_zone_of_its_stretch_over_the_seam_too(figures, rounds):
    loop = build_loop(lay_out(figures))
    place = rounds * loop.length_m

    zone = zone_at(loop, place)

    wrapped = loop.wrap(place)
    assert zone in {one.zone for one in stretches(loop) if one.start_m <= wrapped <= one.end_m}


def test_the_tail_reaches_over_the_seam():
    loop = build_loop(short_loop())

    assert zone_at(loop, 0.0) is Zone.TAIL
    assert zone_at(loop, loop.length_m - 0.1) is Zone.TAIL
    assert zone_at(loop, -0.1) is Zone.TAIL
    assert zone_at(loop, loop.tail_m - 2.9) is Zone.TAIL


def test_zones_of_the_carrying_run_stand_where_a_person_says_they_are():
    loop = build_loop(short_loop())

    assert skirt_end_m(loop) == 4.0
    assert zone_at(loop, 2.0) is Zone.LOAD
    assert zone_at(loop, 3.9) is Zone.LOAD
    assert zone_at(loop, 4.0) is Zone.CARRYING_LOWER
    assert zone_at(loop, 10.5) is Zone.CARRYING_MID
    assert zone_at(loop, 16.9) is Zone.CARRYING_UPPER
    assert zone_at(loop, 19.9) is Zone.HEAD
    assert zone_at(loop, 22.0) is Zone.HEAD
    assert zone_at(loop, 30.0) is Zone.RETURN_BEFORE


def test_zones_at_a_gravity_take_up_begin_and_end_at_its_pulleys():
    conveyor = next(one for one in OPEN_CONVEYORS if one["tag"] == "W06")
    loop = build_loop(parts_of(conveyor))
    bend_in, take_up, bend_out = loop.pulleys[1:4]

    assert zone_at(loop, bend_in.first_m - 0.01) is Zone.RETURN_BEFORE
    assert zone_at(loop, bend_in.first_m) is Zone.BEND
    assert zone_at(loop, take_up.first_m - 0.01) is Zone.BEND
    assert zone_at(loop, take_up.first_m) is Zone.TAKE_UP
    assert zone_at(loop, bend_out.first_m - 0.01) is Zone.TAKE_UP
    assert zone_at(loop, bend_out.first_m) is Zone.BEND
    assert zone_at(loop, bend_out.first_m + bend_out.arc_m) is Zone.RETURN_AFTER


def test_a_load_point_half_way_along_leaves_the_run_before_it_open():
    shuttle = [
        replace(part, first_m=28.0) if part.kind is ComponentKind.LOAD_POINT else part
        for part in lay_out(
            LayoutFigures(centre_distance_m=60.0, head_diameter_mm=630, tail_diameter_mm=500)
        )
    ]

    loop = build_loop(shuttle)

    assert zone_at(loop, 2.0) is Zone.TAIL
    assert zone_at(loop, 20.0) is Zone.CARRYING_LOWER
    assert zone_at(loop, 29.0) is Zone.LOAD
