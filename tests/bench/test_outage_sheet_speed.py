"""The outage sheet of 300 orders, 12 windows and 6 crews: a page within a second, a weighing too.

Nothing is asserted of seconds: machines differ.
"""

import time
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from plant.roles import Role
from tests.workorders.factories import make_conveyor, make_plant
from tests.workorders.pages import address, client_of
from tests.workorders.sheet_rows import make_approved, make_coming, make_crew
from workorders.models import OutageWindow, WorkOrder
from workorders.order_states import OrderState
from workorders.planning.outages.minutes import minute_of

TARGET_S = 1.0
ORDERS, WINDOWS, CREWS, BELTS = 300, 12, 6, 40
TURNS = 5


def _filled() -> tuple[Any, list[WorkOrder], list[OutageWindow], list[Any]]:
    """Every second order stands somewhere; belts share windows."""
    plant = make_plant()
    belts = [make_conveyor(plant) for _number in range(BELTS)]
    crews = [make_crew(plant, f"Crew {number}", people=8) for number in range(CREWS)]
    windows = [make_coming(belts[0], days=1 + number) for number in range(WINDOWS)]
    for number, window in enumerate(windows):
        window.conveyors.set(belts[number % 4 :: 4])
    first = make_approved(belts[0])
    shape = {
        field.attname: getattr(first, field.attname)
        for field in WorkOrder._meta.concrete_fields
        if not field.primary_key
    }
    rows = []
    for number in range(ORDERS - 1):
        window = windows[number % WINDOWS]
        begins = window.starts_at + timedelta(minutes=30 * (number % 12))
        row = WorkOrder(**{**shape, "number": f"{first.number}{number}"})
        row.conveyor = belts[(number * 7) % BELTS]
        if number % 2:
            row.state, row.crew, row.window = OrderState.SCHEDULED, crews[number % CREWS], window
            row.planned_for, row.planned_until = begins, begins + timedelta(hours=2)
        rows.append(row)
    return plant, [first, *WorkOrder.objects.bulk_create(rows)], windows, crews


@pytest.mark.bench
@pytest.mark.django_db
def test_what_a_full_sheet_takes(capsys: Any) -> None:
    plant, orders, windows, crews = _filled()
    planner = client_of(Role.PLANNER, plant)
    starts = minute_of(windows[3].starts_at)
    asked = {
        "version": 1,
        "window": windows[3].pk,
        "crew": crews[0].pk,
        "starts": starts,
        "ends": starts + 120,
    }

    def page() -> int:
        answer = planner.get(reverse("outage-sheet"))
        assert answer.status_code == 200
        return len(answer.content)

    def weighing() -> int:
        answer = planner.post(address("order-place-weighed", orders[0]), asked)
        assert answer.status_code == 200
        return len(answer.content)

    with capsys.disabled():
        for words, act in (("page", page), ("weighing a place", weighing)):
            size, took = 0, []
            for _turn in range(TURNS):
                begun = time.process_time()
                size = act()
                took.append(time.process_time() - begun)
            best, middle = min(took), sorted(took)[TURNS // 2]
            print(
                f"\noutage sheet, {ORDERS} orders, {WINDOWS} windows, {CREWS} crews: {words} "
                f"{best:.2f} s at best, {middle:.2f} s in the middle of {TURNS} "
                f"(target {TARGET_S:.0f} s), {size / 1000:.0f} kB, "
                f"at {timezone.now():%Y-%m-%d}"
            )
