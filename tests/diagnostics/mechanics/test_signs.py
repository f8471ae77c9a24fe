"""Which way each fault drives the belt, against the published training rules."""

import numpy as np
import pytest

from diagnostics.mechanics.bow_faults import bows
from diagnostics.mechanics.pulley_faults import skewed_pulley, tapered_pulley
from diagnostics.mechanics.roll_faults import off_centre_loads, roll_groups
from plant.loop.vocabulary import ComponentKind, Run
from tests.diagnostics.mechanics.small_lines import flat_loop, model, offset_mm

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
    adrift = model(flat_loop(12.0), vee_deg=0, load_kg_m=0)

    assert 0 <= centred.loop_gain < 0.5
    assert adrift.loop_gain > centred.loop_gain
