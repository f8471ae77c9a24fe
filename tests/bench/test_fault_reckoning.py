"""A large plant's recurring faults from the database to the rows that pages show.

Nobody waits for it: a worker does it beside everything else. Nothing is asserted of seconds.
"""

import time
from typing import Any

import pytest

from diagnostics.models import BeltFaults
from diagnostics.services import fault_reckoning
from tests.bench import large_plant
from tests.diagnostics import factories

pytestmark = [pytest.mark.bench, pytest.mark.django_db]


def test_what_a_large_plant_s_reckoning_takes(capsys: Any):
    plant = factories.make_plant()
    large_plant.fill(plant)
    heard: list[tuple[float, float]] = []

    started, busy = time.monotonic(), time.process_time()
    row = fault_reckoning.reckon_now(
        plant, tell=lambda share: heard.append((share, time.monotonic() - started))
    )
    took_s, busy_s = time.monotonic() - started, time.process_time() - busy

    assert row.refusal == ""
    assert row.result["events"] == large_plant.CASES
    assert BeltFaults.objects.filter(reckoning=row).count() == large_plant.BELTS
    steps = ", ".join(f"{share:.0%} at {at_s:.1f} s" for share, at_s in heard)
    with capsys.disabled():
        print(
            f"\n{large_plant.BELTS} belts, {large_plant.CASES} cases, database to rows: "
            f"{took_s:.1f} s ({busy_s:.1f} s of computing); {steps}"
        )
