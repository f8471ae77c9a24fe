"""What one diagnosis takes, against its targets: `pytest -m bench -s tests/bench`.

Targets on one core: 600 idlers and 40 sightings 50 ms, 300 ms for a conveyor never seen before;
an overland of 20 km, 15 000 idlers and 60 sightings 5 s and 500 MB; cost linear in the idlers.
Nothing is asserted: machines differ. What is printed are ratios. Time is that of the processor, so
that neighbours on the machine count for little.
"""

import time

import numpy as np
import pytest

from diagnostics.inference import fault_families
from tests.bench import measuring

pytestmark = [pytest.mark.bench, pytest.mark.benchmark(timer=time.process_time)]

CACHED_S, COLD_S, OVERLAND_S, OVERLAND_MIB = 0.050, 0.300, 5.0, 500.0
IDLERS, SIGHTINGS = 600, 40
OVERLAND_IDLERS, OVERLAND_SIGHTINGS = 15_000, 60
SIZES = [600, 1200, 2400, 4800, 9600, 15_000]


def told(what: str, seconds: float, target_s: float) -> None:
    print(f"\n{what}: {seconds / target_s:.2f} of the target ({1000 * seconds:.1f} ms)")


def test_one_case_on_a_conveyor_that_is_known(benchmark):
    one = measuring.case_of(measuring.conveyor_of(IDLERS), SIGHTINGS)
    measuring.think(one)

    benchmark.pedantic(measuring.think, (one,), rounds=20)

    told("diagnosis, known conveyor", benchmark.stats.stats.median, CACHED_S)


def test_one_case_on_a_conveyor_never_seen(benchmark):
    measuring.belts.knowledge()

    def fresh():
        one = measuring.case_of(measuring.conveyor_of(IDLERS), SIGHTINGS)
        fault_families.forget()
        return (one,), {}

    benchmark.pedantic(measuring.think, setup=fresh, rounds=10)

    told("diagnosis, new conveyor", benchmark.stats.stats.median, COLD_S)


def test_mechanics_of_one_case_on_a_conveyor_that_is_known(benchmark):
    one = measuring.case_of(measuring.conveyor_of(IDLERS), SIGHTINGS)
    measuring.mechanics_of(one)

    benchmark.pedantic(measuring.mechanics_of, (one,), rounds=50)

    told("mechanics, known conveyor", benchmark.stats.stats.median, CACHED_S)


def test_mechanics_of_one_case_on_a_conveyor_never_seen(benchmark):
    def fresh():
        one = measuring.case_of(measuring.conveyor_of(IDLERS), SIGHTINGS)
        fault_families.forget()
        return (one,), {}

    benchmark.pedantic(measuring.mechanics_of, setup=fresh, rounds=10)

    told("mechanics, new conveyor", benchmark.stats.stats.median, COLD_S)


def test_overland_of_twenty_kilometres_in_a_process_of_its_own():
    peak = measuring.peak_of(OVERLAND_IDLERS, OVERLAND_SIGHTINGS)

    told("overland, new conveyor", peak.seconds, OVERLAND_S)
    print(f"overland, most memory: {peak.mebibytes / OVERLAND_MIB:.2f} of the target")


@pytest.mark.parametrize(
    "job", [measuring.mechanics_of, measuring.think], ids=lambda one: one.__name__
)
def test_cost_grows_with_the_idlers(job):
    costs = [measuring.seconds_cold(job, size, OVERLAND_SIGHTINGS) for size in SIZES]

    found = measuring.growth_of(SIZES, costs)

    print(
        f"\n{job.__name__}: "
        + ", ".join(
            f"{size}: {cost / costs[0]:.1f}" for size, cost in zip(SIZES, costs, strict=True)
        )
        + f" times the cost of {SIZES[0]} idlers; line R2 {found.r_squared:.4f}, "
        f"upper half grows with the power {found.power:.2f}"
    )


def test_banded_solution_against_a_dense_one_of_the_same_system():
    model = measuring.loaded_model(measuring.conveyor_of(IDLERS))
    dense = measuring.dense_matrix(model)
    forcing = np.zeros(len(dense))
    forcing[len(dense) // 3] = 100.0

    banded_s = measuring.seconds(lambda: measuring.factored_anew(model, forcing))
    dense_s = measuring.seconds(lambda: np.linalg.solve(dense, forcing))

    print(f"\none solution at {IDLERS} idlers: dense takes {dense_s / banded_s:.0f} times as long")
