"""The benchmarks themselves, at tiny sizes, so that they still run when they are wanted."""

import math

import numpy as np
import pytest

from tests.bench import measuring


@pytest.mark.parametrize("idlers", [60, 300])
def test_a_benchmark_conveyor_has_about_as_many_idlers_as_asked_for(idlers):
    loop = measuring.conveyor_of(idlers).loop

    assert sum(part.count for part in loop.parts if part.is_idler) == pytest.approx(
        idlers, rel=0.15
    )


def test_a_benchmark_case_has_about_as_many_sightings_as_asked_for_in_both_load_states():
    one = measuring.case_of(measuring.conveyor_of(200), 40)

    assert len(one.sightings) == pytest.approx(40, abs=14)
    assert {seen.load for seen in one.sightings} == {"loaded", "empty"}


@pytest.mark.parametrize("job", [measuring.mechanics_of, measuring.think])
def test_a_job_is_timed_on_a_conveyor_never_seen(job):
    assert 0 < measuring.seconds_cold(job, 60, 10) < math.inf


def test_a_straight_line_is_seen_as_one():
    found = measuring.growth_of([1, 2, 3, 4], [3.0, 5.0, 7.0, 9.0])

    assert (found.fixed_s, found.per_idler_s) == pytest.approx((1.0, 2.0))
    assert found.r_squared == pytest.approx(1.0)


def test_dense_and_banded_solve_the_same_system():
    model = measuring.loaded_model(measuring.conveyor_of(60))
    forcing = np.zeros(model.size)
    forcing[model.size // 3] = 100.0

    banded = measuring.factored_anew(model, forcing)

    dense = np.linalg.solve(measuring.dense_matrix(model), forcing)
    assert banded == pytest.approx(dense, rel=1e-6, abs=1e-12)


def test_memory_and_time_are_taken_in_a_process_of_its_own():
    peak = measuring.peak_of(60, 10)

    assert 0 < peak.seconds < 60
    assert 10 < peak.mebibytes < 1000
