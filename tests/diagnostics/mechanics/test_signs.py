"""Which way each fault drives the belt, against the published training rules."""

import math
from dataclasses import replace

import numpy as np
import pytest

from diagnostics.mechanics.bow_faults import bows
from diagnostics.mechanics.lateral import LateralModel
from diagnostics.mechanics.level_faults import (
    SEIZED_DRAG_N_M,
    dragging_rolls,
    lowered_rolls,
    lowered_structure,
    racked_structure,
)
from diagnostics.mechanics.line import Line
from diagnostics.mechanics.pulley_faults import skewed_pulley, tapered_pulley
from diagnostics.mechanics.roll_faults import off_centre_loads, roll_groups, stuck_sets
from plant.loop.vocabulary import ComponentKind, Run
from tests.diagnostics.mechanics.small_lines import flat_loop, line, model, offset_mm

LOADED_KG_M = 150.0


# US Army TM 5-3895-374-24-2 p. 621 and TM 5-3820-233-12: the belt goes to the end it touches
# first; a roll whose left end lies ahead along local travel drives it right, on both runs.
@pytest.mark.parametrize("run", Run)
def test_roll_with_left_end_ahead_drives_the_belt_right(run: Run) -> None:
    loop = flat_loop()
    middle = 50.0 if run is Run.CARRYING else loop.head_m + 50.0

    one = model(loop, vee_deg=10)

    turned = roll_groups(one, run)[0]

    assert offset_mm(one, turned, turned.nearest(middle), middle + 2.0) > 0.3


# Same manual, pulleys: toward the edge that touches first, head and tail alike.
@pytest.mark.parametrize("kind", [ComponentKind.HEAD_PULLEY, ComponentKind.TAIL_PULLEY])
def test_pulley_out_of_square_drives_the_belt_to_the_edge_touched_first(
    kind: ComponentKind,
) -> None:
    skew, _taper = faults_at(kind)

    assert skew > 0


# Crowned-pulley rule, common practice, no source: the belt climbs to the larger diameter.
@pytest.mark.parametrize("kind", [ComponentKind.HEAD_PULLEY, ComponentKind.TAIL_PULLEY])
def test_belt_goes_to_the_larger_end_of_a_pulley(kind: ComponentKind) -> None:
    _skew, taper = faults_at(kind)

    assert taper > 0


def faults_at(kind: ComponentKind) -> tuple[float, float]:
    """Offset where the belt meets the pulley, by its skew and by its taper."""
    loop = flat_loop()
    one, at_m = model(loop, vee_deg=10), loop.of_kind(kind)[0].first_m
    pulley = next(each for each in one.line.nodes.pulleys if each.part.kind is kind)
    (skew,) = skewed_pulley(one, pulley)
    return offset_mm(one, skew, 0, at_m), offset_mm(one, tapered_pulley(one, pulley), 0, at_m)


# TM 5-3895-374-24-2 p. 620: the belt goes to the lightly loaded edge. Load 1 mm to the left.
def test_load_to_the_left_drives_the_loaded_belt_right_and_the_empty_one_nowhere() -> None:
    loaded, empty = (model(flat_loop(), vee_deg=10, load_kg_m=load) for load in (LOADED_KG_M, 0.0))

    assert 0.7 < offset_mm(loaded, off_centre_loads(loaded)[0], 0, 60.0) < 1.0
    assert offset_mm(empty, off_centre_loads(empty)[0], 0, 60.0) == 0


def test_belt_cuts_the_corner_of_a_bowed_structure() -> None:
    one = model(flat_loop(), vee_deg=10)

    turned_with_it = bows(one, Run.CARRYING)[0]

    # The family's bow goes left: relative to it the tight belt lies to the right, by less.
    assert 0 < offset_mm(one, turned_with_it, turned_with_it.nearest(50.0), 50.0) < 1.0


# Common practice, no source: a structure out of level moves the belt to the low side, by little.
def test_structure_low_on_the_right_moves_the_belt_right_by_millimetres():
    one = model(flat_loop(), vee_deg=10)

    lowered = lowered_structure(one, Run.CARRYING, 0.0, 100.0)

    assert 5 < 20 * offset_mm(one, lowered, 0, 50.0) < 25


def test_dropped_right_end_moves_the_belt_right_and_a_stretch_is_the_sum_of_its_rolls():
    one = model(flat_loop(), vee_deg=10)
    single = lowered_rolls(one)
    first, last = single.nearest(30.0), single.nearest(70.0)
    stretch = lowered_structure(
        one, Run.CARRYING, single.position_m[first], single.position_m[last]
    )

    added = sum(offset_mm(one, single, number, 50.0) for number in range(first, last + 1))

    assert offset_mm(one, single, single.nearest(50.0), 50.0) > 0
    assert added == pytest.approx(offset_mm(one, stretch, 0, 50.0), rel=1e-9)


def test_seized_roll_dragging_on_the_right_turns_the_belt_right_by_less_than_a_millimetre():
    one = model(flat_loop(), vee_deg=10)
    dragging = dragging_rolls(one)
    number = dragging.nearest(50.0)

    solved = one.solve(dragging.of(number, SEIZED_DRAG_N_M))

    assert solved[2 * one.line.nodes.rolls[number].node + 1] > 0
    assert float(one.offsets_m(solved, np.array([60.0]))[0]) > 0
    assert np.abs(solved[0::2]).max() < 0.001


# The sign trap: seen in plan one structure turns both runs' rolls, whose local travel is opposed.
def test_racked_structure_drives_the_runs_to_opposite_sides():
    one = model(flat_loop(), vee_deg=10)
    back = one.line.data.loop.head_m + math.pi * 0.3

    carrying = racked_structure(one, 40.0, 60.0, Run.CARRYING)
    returning = racked_structure(one, back + 40.0, back + 60.0, Run.RETURN)

    assert offset_mm(one, carrying, 0, 55.0) > 1
    assert offset_mm(one, returning, 0, back + 55.0) < -1


def test_no_fault_is_made_where_no_roll_stands():
    one = model(flat_loop(), vee_deg=10)

    with pytest.raises(ValueError, match="no roll of the return run stands from 10 to 20 m"):
        racked_structure(one, 10.0, 20.0, Run.RETURN)


def test_a_stuck_self_aligning_set_moves_the_belt_farther_than_one_that_still_turns():
    loop = flat_loop(aligning=True)
    at_m = loop.station_named("SA").position_m
    turning, stuck = LateralModel(line(loop)), LateralModel(line(loop), stuck=("SA",))

    before = offset_mm(turning, stuck_sets(turning, Run.RETURN)[0], 0, at_m)
    after = offset_mm(stuck, stuck_sets(stuck, Run.RETURN)[0], 0, at_m)

    assert 1.0 < after / before < 3.0


def test_slack_belt_cuts_the_corner_of_a_bow_less():
    data = line(flat_loop(), vee_deg=10).data
    tight, slack = LateralModel(Line(data)), LateralModel(Line(data.tensioned(0.5)))

    moved = [offset_mm(one, bows(one, Run.CARRYING)[0], 5, 50.0) for one in (tight, slack)]

    assert moved[1] < 0.8 * moved[0]


def test_mirrored_fault_mirrors_the_profile() -> None:
    mirrored = model(flat_loop(), vee_deg=10)
    forcing = np.zeros((mirrored.size, 2))
    forcing[40] = (100.0, -100.0)

    right, left = mirrored.solve(forcing).T

    assert right == pytest.approx(-left)


def test_doubled_fault_doubles_the_profile() -> None:
    doubled = model(flat_loop(), vee_deg=10)
    forcing = np.zeros((doubled.size, 2))
    forcing[40] = (100.0, 200.0)

    once, twice = doubled.solve(forcing).T

    assert twice == pytest.approx(2 * once)


def test_influence_by_adjoint_is_what_solving_forward_gives() -> None:
    loop = flat_loop(aligning=True)
    both = model(loop, vee_deg=10)
    rng = np.random.default_rng(5)
    forcing = rng.normal(size=(both.size, 3))
    places = np.array([0.5, 33.3, loop.head_m, loop.head_m + 20.0, loop.tail_m])

    forward = both._pick(places).T @ both.solve(forcing)
    backward = both.sensitivity(places).T @ forcing

    assert forward == pytest.approx(backward, rel=1e-6, abs=1e-9)


def test_banded_solution_is_the_dense_one() -> None:
    banded = model(flat_loop(40.0), vee_deg=10)
    dense = np.zeros((banded.size, banded.size))
    for column in range(banded.size):
        for offset in range(-3, 4):
            row = column + offset
            if 0 <= row < banded.size:
                dense[row, column] = banded._bands[3 + offset, column]
    dense[0, banded._tail] -= 1.0
    forcing = np.random.default_rng(1).normal(size=(banded.size, 2))

    assert banded.solve(forcing) == pytest.approx(np.linalg.solve(dense, forcing), rel=1e-6)


def test_loop_that_nothing_centres_says_so_by_its_gain() -> None:
    centred = model(flat_loop(), vee_deg=10)
    data = line(flat_loop(12.0)).data
    adrift = LateralModel(Line(replace(data, trough_rad=0.0)))

    assert 0 <= centred.loop_gain < 0.5
    assert not centred.is_adrift
    assert adrift.loop_gain > 0.95
    assert adrift.is_adrift
