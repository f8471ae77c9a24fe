"""Repeat offenders of 1,000 belts with 200,000 cases: target 300 ms a page.

Nothing is asserted of seconds: machines differ. The reckoning is the worker's; a page reads what
was kept.
"""

import time
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import numpy as np
import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.models import BeltFaults, Case
from diagnostics.services import fault_reckoning
from plant.models import Conveyor, Plant
from plant.roles import Role
from tests.plant.factories import make_person, make_plant, signed_in

pytestmark = [pytest.mark.bench, pytest.mark.django_db]
BELTS, CASES, DAYS = 1000, 200_000, 540
PAGE_S = 0.3
_FAMILIES = ("return_idler", "carrying_idler_structure", "loading", "take_up", "")


def _fill(plant: Plant) -> None:
    """Belts of very different rates; a tenth of the cases repeats the one before it."""
    rng, now = np.random.default_rng(8), timezone.now()
    belts = Conveyor.objects.bulk_create(
        Conveyor(plant=plant, tag=f"B{number:04}", name="Belt", area=f"Area {number % 12}",
                 centre_distance_m=100, speed_mps=2.5)
        for number in range(BELTS)
    )  # fmt: skip
    shares = rng.gamma(0.8, size=BELTS)
    of_belt = rng.choice(BELTS, CASES, p=shares / shares.sum())
    ages, families = rng.uniform(0, DAYS, CASES), rng.integers(len(_FAMILIES), size=CASES)
    cases = Case.objects.bulk_create(
        (
            Case(
                conveyor=belts[of_belt[number]],
                number=f"B-{number}",
                state="closed" if number % 20 else "open",
                summary="rubs",
                opened_at=now - timedelta(days=float(ages[number])),
                cause_class=_FAMILIES[families[number]],
                lost_hours=float(number % 7) if number % 3 else None,
            )
            for number in range(CASES)
        ),
        batch_size=5000,
    )
    Case.objects.filter(pk__in=[one.pk for one in cases[::10]]).update(
        repeat_of=cases[1].pk, changed_at=now
    )


def _seconds(job: Callable[[], object]) -> float:
    started = time.perf_counter()
    job()
    return time.perf_counter() - started


def test_repeat_offenders_of_a_thousand_belts(capsys: Any):
    plant = make_plant()
    _fill(plant)
    reckoned_s = _seconds(lambda: fault_reckoning.reckon_now(plant, tell=lambda _share: None))
    lead = signed_in(make_person(Role.LEAD, plants=[plant]))
    address, took = reverse("repeat-offenders"), {}
    asked = {
        "first page": {},
        "last page": {"page": "50"},
        "by trend, one area": {"by": "trend", "area": "Area 3"},
    }
    for name, query in asked.items():
        lead.get(address, query)
        took[name] = min(_seconds(lambda: lead.get(address, query)) for _turn in range(5))  # noqa: B023
    file_s = _seconds(lambda: lead.get(reverse("repeat-offenders-file")))
    today_s = _seconds(lambda: lead.get(reverse("today")))

    assert BeltFaults.objects.filter(reckoning__plant=plant).count() == BELTS
    with capsys.disabled():
        print(f"\n{BELTS} belts, {CASES} cases, reckoned in {reckoned_s:.1f} s")
        for name, took_s in took.items():
            print(f"{name}: {took_s * 1000:.0f} ms, {took_s / PAGE_S:.2f} of {PAGE_S * 1000:.0f}")
        print(f"the file of all belts {file_s:.2f} s; Today {today_s:.2f} s")
