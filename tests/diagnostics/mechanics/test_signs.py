"""Which way each fault drives the belt, against the published training rules."""

import numpy as np
import pytest

from diagnostics.mechanics.faults import Family, FaultInfluences, Looks
from diagnostics.mechanics.lateral import LateralModel
from plant.loop.path import Loop
from tests.diagnostics.mechanics.small_lines import flat_loop, line, model

LOADED_KG_M = 150.0


def influences(loop: Loop, places: list[float], *, load_kg_m: float = 0.0) -> FaultInfluences:
    empty_or_loaded = LateralModel(line(loop, load_kg_m=load_kg_m, vee_deg=10))
    looks = Looks(np.array(places), np.zeros(len(places), dtype=int))
    return FaultInfluences([empty_or_loaded], looks)


def family(found: FaultInfluences, name: str) -> Family:
    return next(one for one in found.families() if one.name == name)


# US Army TM 5-3895-374-24-2 p. 621 and TM 5-3820-233-12: the belt goes to the end it touches
# first; a roll whose right end lies ahead along local travel (skew > 0) drives it left, on both
# runs. Here skew is -1 deg of heading, so the belt must go right.
@pytest.mark.parametrize(("name", "run_start"), [("carrying_idlers_2", 0.3), ("return_idlers_1", 0.4)])
def test_roll_with_left_end_ahead_drives_the_belt_right(name: str, run_start: float) -> None:
    loop = flat_loop()
    middle = 50.0 if name.startswith("carrying") else loop.head_m + 50.0
    found = family(influences(loop, [middle + 2.0]), name)
    nearest = int(np.argmin(np.abs(found.position_m - middle)))

    assert found.influence_mm[0, nearest] > run_start


# Same manual, pulleys: "toward the edge that touches first", head and tail alike.
@pytest.mark.parametrize("kind", ["head_pulley", "tail_pulley"])
def test_pulley_out_of_square_drives_the_belt_to_the_edge_touched_first(kind: str) -> None:
    loop = flat_loop()
    at = loop.head_m if kind == "head_pulley" else loop.tail_m
    found = family(influences(loop, [at]), f"{kind}_skewed")

    assert found.influence_mm[0, 0] > 0


# Crowned-pulley rule, common practice, no source: the belt climbs to the larger diameter.
@pytest.mark.parametrize("kind", ["head_pulley", "tail_pulley"])
def test_belt_goes_to_the_larger_end_of_a_pulley(kind: str) -> None:
    loop = flat_loop()
    at = loop.head_m if kind == "head_pulley" else loop.tail_m
    found = family(influences(loop, [at]), f"{kind}_taper")

    assert found.influence_mm[0, 0] > 0


# TM 5-3895-374-24-2 p. 620: the belt goes to the lightly loaded edge. Load 1 mm to the left.
def test_load_to_the_left_drives_the_loaded_belt_right_and_the_empty_one_nowhere() -> None:
    loaded = influences(flat_loop(), [60.0], load_kg_m=LOADED_KG_M)
    empty = influences(flat_loop(), [60.0])

    assert 0.7 < family(loaded, "loading").influence_mm[0, 0] < 1.0
    assert not [one for one in empty.families() if one.name == "loading"]


def test_belt_cuts_the_corner_of_a_bowed_structure() -> None:
    found = family(influences(flat_loop(), [50.0]), "bow_square")
    nearest = int(np.argmin(np.abs(found.position_m - 50.0)))

    # The family's bow goes left: relative to it the tight belt lies to the right, by less.
    assert 0 < found.influence_mm[0, nearest] < 1.0


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
