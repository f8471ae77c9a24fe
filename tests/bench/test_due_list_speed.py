"""The due list of a plant of 100 belts with 20,000 readings: target 1 s a page.

Nothing is asserted of seconds: machines differ. Reckoning everything anew is the worker's, once a
day and after changes; a page reads what was kept.
"""

import time
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from plant.loop.condition import Quantity
from plant.models import ConditionReading, Conveyor
from plant.roles import Role
from tests.plant.factories import make_complete_conveyor, make_plant
from tests.workorders import lives_rows
from tests.workorders.pages import client_of
from workorders.life_subjects import LifeSubject
from workorders.models import DueItem
from workorders.services import due_reckoning

BELTS, SPOTS, EACH = 100, 20, 10
PAGE_S = 1.0


def _read(conveyor: Conveyor) -> None:
    """Twenty sets of a belt, ten readings each, worn out within two years."""
    group = conveyor.components.get(name="C")
    now = timezone.now()
    group.fitted_on = (now - timedelta(days=900)).date()
    group.save()
    ConditionReading.objects.bulk_create(
        ConditionReading(
            conveyor=conveyor,
            component=group,
            set_number=spot + 1,
            spot="centre roll",
            quantity=Quantity.ROLL_SHELL_THICKNESS.value,
            value=6.0 - 0.3 * number - 0.02 * spot,
            taken_at=now - timedelta(days=30 * (EACH - number)),
        )
        for spot in range(SPOTS)
        for number in range(EACH)
    )


@pytest.mark.bench
@pytest.mark.django_db
def test_what_the_due_list_of_a_large_plant_takes(capsys: Any):
    plant = make_plant()
    belts = [make_complete_conveyor(plant, tag=f"B{number}") for number in range(BELTS)]
    for belt in belts:
        _read(belt)
    lives_rows.set_costs(plant, LifeSubject.TROUGHING, timezone.now())
    planner = client_of(Role.PLANNER, plant)

    all_s = _seconds(lambda: due_reckoning.reckon(belts, timezone.now()))
    one_s = _seconds(lambda: due_reckoning.reckon(belts[:1], timezone.now()))
    page_s = min(_seconds(lambda: planner.get(reverse("due"))) for _turn in range(3))
    last = {"page": DueItem.objects.count() // 40}
    last_s = min(_seconds(lambda: planner.get(reverse("due"), last)) for _turn in range(3))
    file_s = _seconds(lambda: planner.get(reverse("due-csv")))

    with capsys.disabled():
        print(
            f"\n{BELTS} belts, {ConditionReading.objects.count()} readings, "
            f"{DueItem.objects.count()} rows due: the page {page_s:.2f} s of {PAGE_S:.0f}, its "
            f"last one {last_s:.2f} s, the CSV file {file_s:.2f} s; reckoning all {all_s:.1f} s, "
            f"one belt that changed {one_s:.2f} s"
        )


def _seconds(job: Callable[[], object]) -> float:
    started = time.perf_counter()
    job()
    return time.perf_counter() - started
