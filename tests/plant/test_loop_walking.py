"""The route of a walk-down: a person's feet, not the belt's."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plant.loop.layout import lay_out
from plant.loop.path import build_loop
from plant.loop.vocabulary import ComponentKind, Run
from plant.loop.walking import HANDFUL, in_walking_order, walking_stations
from plant.loop.zones import skirt_end_m
from tests.plant.loops import OPEN_CONVEYORS, layouts, parts_of, short_loop


@settings(deadline=None)
@given(layouts(), st.integers(5, 60))
def test_the_walk_goes_from_the_tail_to_the_head_and_back(figures, about):
    loop = build_loop(lay_out(figures))

    route = walking_stations(loop, about=about)

    assert route[0].kind is ComponentKind.TAIL_PULLEY
    positions = [station.position_m for station in route[1:]]
    assert positions == sorted(positions)
    assert len(set(route)) == len(route)
    head = next(n for n, one in enumerate(route) if one.kind is ComponentKind.HEAD_PULLEY)
    assert all(one.run is Run.CARRYING for one in route[1 : head + 1])
    assert all(one.run is Run.RETURN for one in route[head + 1 :])


@settings(deadline=None)
@given(layouts(), st.integers(5, 60))
def test_the_route_passes_what_decides_the_first_questions(figures, about):
    loop = build_loop(lay_out(figures))

    route = set(walking_stations(loop, about=about))

    assert {one.name for one in loop.pulleys} <= {station.name for station in route}
    idlers = [one for part in loop.parts if part.is_idler for one in part.stations()]
    for start_m in (0.0, skirt_end_m(loop), loop.head_m):
        first = [one for one in idlers if one.position_m > start_m][:HANDFUL]
        assert set(first) <= route
    for pulley in loop.pulleys:
        before = [one for one in idlers if one.position_m < pulley.first_m]
        assert not before or before[-1] in route


@pytest.mark.parametrize("conveyor", OPEN_CONVEYORS, ids=lambda one: one["tag"])
@pytest.mark.parametrize("about", [20, 28, 40])
def test_the_route_is_about_as_long_as_asked(conveyor, about):
    loop = build_loop(parts_of(conveyor))

    route = walking_stations(loop, about=about)

    decided = 3 * HANDFUL + 2 * len(loop.pulleys)
    assert len(route) <= max(about, decided) + 1
    assert len(route) >= min(about - 1, len(loop.stations) - 2)


@pytest.mark.parametrize("conveyor", OPEN_CONVEYORS, ids=lambda one: one["tag"])
def test_no_long_stretch_of_the_loop_is_left_out(conveyor):
    loop = build_loop(parts_of(conveyor))

    route = walking_stations(loop)

    places = sorted(station.position_m for station in route)
    gaps = [after - before for before, after in pairwise(places)]
    assert max(gaps) < loop.length_m / 6


def test_the_tail_comes_first_though_the_belt_meets_it_last():
    loop = build_loop(short_loop())

    ordered = in_walking_order(set(loop.stations))

    assert [one.name for one in ordered[:3]] == ["TAIL", "I1", "I2"]
    assert ordered[-1].name == "R6"
