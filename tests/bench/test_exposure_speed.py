"""A thousand belts, each with weekly readings of eighteen months: how long their clocks take."""

import time
from datetime import UTC, datetime, timedelta

import pytest

from plant.metering.basis import Basis
from plant.models import Conveyor, MeterReading, Plant
from plant.selectors import exposures
from tests.bench.measuring import seconds
from tests.plant.factories import make_plant

pytestmark = [pytest.mark.bench, pytest.mark.django_db]
BELTS, WEEKS = 1000, 78
FIRST = datetime(2025, 5, 30, tzinfo=UTC)
LAST = FIRST + timedelta(days=548)
# A page has 300 ms, most of it for other things than its exposure.
TARGET_S = 0.3


def keep(plant: Plant) -> None:
    belts = Conveyor.objects.bulk_create(
        Conveyor(plant=plant, tag=f"B{k}", name="belt", centre_distance_m=100, speed_mps=2)
        for k in range(BELTS)
    )
    MeterReading.objects.bulk_create(
        (
            MeterReading(
                conveyor=belt,
                quantity="running_hours",
                read_at=FIRST + timedelta(days=7 * week),
                reading=100 * week,
            )
            for belt in belts
            for week in range(WEEKS)
        ),
        batch_size=5000,
    )


def test_clocks_of_a_thousand_belts():
    keep(make_plant())

    def wall() -> float:
        started = time.perf_counter()
        exposures.clocks_of(Conveyor.objects.all(), FIRST, LAST, Basis.RUNNING)
        return time.perf_counter() - started

    waited = min(wall() for _ in range(3))
    clocks = exposures.clocks_of(Conveyor.objects.all(), FIRST, LAST, Basis.RUNNING)
    instants = [FIRST + timedelta(hours=65 * k) for k in range(200)]
    shown = seconds(lambda: [clock.at_many(instants) for clock in clocks.values()], rounds=3)

    print(
        f"\n{BELTS} belts, {BELTS * WEEKS} readings: clocks {waited:.2f} s, of the target "
        f"{waited / TARGET_S:.2f}; {BELTS * 200} instants on them {shown:.2f} s"
    )
    assert len(clocks) == BELTS
    assert clocks[min(clocks)].total == pytest.approx(100 * (WEEKS - 1))
