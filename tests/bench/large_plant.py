"""A plant of 1,000 belts and 200,000 cases in the database, a fifth of them repeats."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

import numpy as np
from django.db import connection
from django.utils import timezone

from diagnostics.inference.vocabulary import CauseClass
from diagnostics.models import Case
from plant.loop.vocabulary import Zone
from plant.models import Conveyor, Plant

BELTS, CASES = 1000, 200_000
_DAYS = 540.0
_ROWS_AT_ONCE = 5000


def fill(plant: Plant, belts: int = BELTS, cases: int = CASES) -> None:
    """Belts that differ in rate; cases spread over the usual period."""
    conveyors = Conveyor.objects.bulk_create(
        Conveyor(
            plant=plant,
            tag=f"L{number:04d}",
            name=f"Belt {number}",
            area=f"Area {number % 12}",
            centre_distance_m=100,
            speed_mps=2.5,
        )
        for number in range(belts)
    )
    Case.objects.bulk_create(_cases(conveyors, cases, timezone.now()), batch_size=_ROWS_AT_ONCE)
    _repeat_every_fifth(plant)


def _cases(conveyors: Sequence[Conveyor], cases: int, now: datetime) -> Iterator[Case]:
    rng = np.random.default_rng(8)
    rate = rng.gamma(2, 1, len(conveyors))
    belts = rng.choice(len(conveyors), cases, p=rate / rate.sum())
    ago = _DAYS * rng.uniform(size=cases)
    families, zones = [one.value for one in CauseClass], [one.value for one in Zone]
    for number, (belt, days) in enumerate(zip(belts.tolist(), ago.tolist(), strict=True)):
        opened_at = now - timedelta(days=days)
        yield Case(
            conveyor=conveyors[belt],
            number=f"L-{number:06d}",
            state="closed",
            summary="rubs on the frame",
            opened_at=opened_at,
            cause_class=families[number % len(families)] if number % 4 else "",
            zone=zones[number % len(zones)],
            position_m=float(number % 180),
            proved_at=opened_at + timedelta(days=1),
            lost_hours=None if number % 3 else number % 7,
        )


def _repeat_every_fifth(plant: Plant) -> None:
    """Each fifth case repeats the one before it on its belt."""
    with connection.cursor() as cursor:
        cursor.execute(
            """
            UPDATE diagnostics_case AS later SET repeat_of_id = found.before
            FROM (
                SELECT one.id,
                    lag(one.id) OVER (PARTITION BY conveyor_id ORDER BY opened_at, one.id) AS before
                FROM diagnostics_case AS one JOIN plant_conveyor AS belt ON belt.id = conveyor_id
                WHERE belt.plant_id = %s
            ) AS found
            WHERE later.id = found.id AND later.id %% 5 = 0
            """,
            [plant.pk],
        )
