"""What is kept of a conveyor: the same figures meet again, other figures never."""

import os
import pickle
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from diagnostics.inference import belt_lines, fault_families
from diagnostics.inference.belt_lines import models_of
from diagnostics.inference.fault_families import FaultFamilies, fault_table
from diagnostics.inference.vocabulary import LoadState
from plant.loop.path import build_loop
from tests.diagnostics.belts import GALLERY, INCLINE, conveyor

BOTH = [LoadState.EMPTY, LoadState.LOADED]
PLACES = (3.0, 33.3, 120.0, 179.0, 260.0, 300.5)


@pytest.fixture(autouse=True)
def _nothing_kept():
    fault_families.forget()


def columns(facts, places=PLACES, load=LoadState.LOADED):
    """Everything that is known of some places, shape (places, candidates + rolls)."""
    table = fault_table(models_of(facts, [load])[load])
    return np.array([table.column(one) for one in places])


def test_the_same_figures_from_another_request_meet_the_kept_model():
    one, other = models_of(conveyor(INCLINE), BOTH), models_of(conveyor(INCLINE), BOTH)

    assert one[LoadState.LOADED] is other[LoadState.LOADED]
    assert one[LoadState.EMPTY] is not other[LoadState.LOADED]


def test_what_the_mechanics_does_not_read_makes_no_new_model():
    renamed = conveyor(INCLINE, tag="I9", clearance_mm=80.0, left_words="sea side")

    assert models_of(renamed, BOTH) == models_of(conveyor(INCLINE), BOTH)


@pytest.mark.parametrize(
    "changes",
    [
        {"lift_m": 5.0},
        {"capacity_tph": 900.0},
        {"speed_mps": 3.7},
        {"trough_angle_deg": 20.0},
        {"return_vee_deg": 10.0},
        {"take_up_tension_kn": 20.0},
        {"centre_distance_m": 150.0},
        {"belt": replace(conveyor(INCLINE).belt, modulus_kn_m=2000.0)},
        {"belt": replace(conveyor(INCLINE).belt, width_mm=800.0)},
        {"belt": replace(conveyor(INCLINE).belt, mass_kg_m2=20.0)},
    ],
    ids=str,
)
def test_changed_figures_are_computed_anew(changes):
    before = columns(conveyor(INCLINE))

    after = columns(conveyor(INCLINE, **changes))

    assert not np.allclose(before, after, rtol=1e-6)


def test_a_moved_idler_group_is_computed_anew():
    facts = conveyor(INCLINE)
    before = columns(facts)
    parts = [
        replace(one, first_m=one.first_m + 0.3) if one.name == "C1-" else one
        for one in facts.loop.parts
    ]

    after = columns(replace(facts, loop=build_loop(parts)))

    assert not np.allclose(before, after, rtol=1e-6)


def test_what_is_known_of_a_place_depends_on_no_other_place():
    together = columns(conveyor(GALLERY))
    fault_families.forget()

    alone = np.vstack([columns(conveyor(GALLERY), (one,)) for one in reversed(PLACES)])[::-1]

    assert np.array_equal(together, alone)


def test_kept_and_new_influences_are_the_same_to_the_last_digit():
    facts = conveyor(GALLERY)
    looks = (np.array(PLACES), (LoadState.LOADED, LoadState.EMPTY) * 3)
    kept = FaultFamilies(facts, models_of(facts, BOTH), *looks).families()
    again = FaultFamilies(facts, models_of(facts, BOTH), *looks).families()
    fault_families.forget()

    new = FaultFamilies(facts, models_of(facts, BOTH), *looks).families()

    for one, two, three in zip(kept, again, new, strict=True):
        assert np.array_equal(one.influence_mm, two.influence_mm)
        assert np.array_equal(one.influence_mm, three.influence_mm)


def test_what_is_kept_cannot_be_written_to():
    column = columns_of_one_place()

    with pytest.raises(ValueError, match="read-only"):
        column[0] = 1.0


def columns_of_one_place():
    model = models_of(conveyor(INCLINE), BOTH)[LoadState.LOADED]
    return fault_table(model).column(50.0)


def test_only_the_latest_conveyors_are_kept():
    for number in range(3 * belt_lines.MOST_KEPT):
        columns(conveyor(INCLINE, lift_m=float(number)), (50.0,))

    assert fault_table.cache_info().currsize <= belt_lines.MOST_KEPT


def test_threads_get_what_one_alone_gets():
    wanted = columns(conveyor(GALLERY))
    fault_families.forget()

    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(lambda _: columns(conveyor(GALLERY)), range(16)))

    assert all(np.array_equal(one, wanted) for one in found)


def test_a_forked_process_goes_on_with_what_is_kept():
    wanted = columns(conveyor(GALLERY))
    reading, writing = os.pipe()

    child = os.fork()
    if child == 0:
        # Nothing of pytest may run in the child: it answers and is gone.
        status = 1
        try:
            same = np.array_equal(columns(conveyor(GALLERY)), wanted)
            os.write(writing, pickle.dumps(same))
            status = 0
        finally:
            os._exit(status)
    os.close(writing)
    answer = os.read(reading, 1000)
    os.close(reading)
    _, status = os.waitpid(child, 0)

    assert status == 0
    assert pickle.loads(answer) is True


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"take_up_tension_kn": float("nan")}, "take_up_n"),
        ({"lift_m": float("inf")}, "lift_m"),
        ({"trough_angle_deg": float("nan")}, "trough_rad"),
        ({"belt": replace(conveyor(INCLINE).belt, modulus_kn_m=float("nan"))}, "modulus_n_m"),
        ({"belt": replace(conveyor(INCLINE).belt, width_mm=0.0)}, "width_m"),
    ],
    ids=lambda one: str(one)[:40],
)
def test_figures_that_are_no_numbers_are_refused_by_name(changes, named):
    with pytest.raises(ValueError, match=named):
        models_of(conveyor(INCLINE, **changes), BOTH)


@pytest.mark.parametrize("place_m", [-0.1, 1e6, float("nan"), float("inf")])
def test_places_off_the_loop_are_refused(place_m):
    model = models_of(conveyor(INCLINE), BOTH)[LoadState.LOADED]

    with pytest.raises(ValueError, match="position_m must be from 0"):
        model.sensitivity(np.array([place_m]))
