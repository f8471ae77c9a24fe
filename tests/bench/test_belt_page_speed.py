"""A belt's page of recurring faults with 20, 200 and 2,000 cases of its own.

Nothing is asserted of seconds: machines differ. A case more may cost time, never a query.
"""

import time
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from diagnostics.models import Case
from plant.models import Conveyor
from plant.roles import Role
from tests.plant.factories import make_complete_conveyor, make_person, make_plant, signed_in

pytestmark = [pytest.mark.bench, pytest.mark.django_db]
EVENTS = (20, 200, 2000)
DAYS = 500
_TURNS = 5


def _fill(belt: Conveyor, count: int) -> None:
    now, begun = timezone.now(), Case.objects.count()
    Case.objects.bulk_create(
        Case(
            conveyor=belt,
            number=f"B-{begun + place}",
            summary="rubs",
            state="closed",
            cause="return_idler_skewed",
            cause_class=("return_idler", "loading", "take_up")[place % 3],
            position_m=float(place % 90),
            opened_at=now - timedelta(days=DAYS * (place + 1) / (count + 1)),
        )
        for place in range(count)
    )


def test_how_the_page_of_a_belt_grows_with_its_cases(capsys: Any):
    belt = make_complete_conveyor(make_plant(), tag="Q30")
    lead = signed_in(make_person(Role.LEAD, plants=[belt.plant]))
    address = reverse("conveyor-trend", args=[belt.plant.code, belt.tag])
    told, queries = [], []
    for events in EVENTS:
        _fill(belt, events - Case.objects.count())
        with CaptureQueriesContext(connection) as asked:
            first_s, size = _seconds(lead, address)
        queries.append(len(asked))
        again_s = min(_seconds(lead, address)[0] for _turn in range(_TURNS))
        told.append(
            f"{events} cases: first {first_s * 1000:.0f} ms, then {again_s * 1000:.0f} ms, "
            f"{queries[-1]} queries, {size / 1000:.0f} kB"
        )

    assert queries[-1] <= queries[0]
    with capsys.disabled():
        print("\nA belt's page of faults; " + "; ".join(told))


def _seconds(client: Any, address: str) -> tuple[float, int]:
    begun = time.monotonic()
    response = client.get(address)
    assert response.status_code == 200
    return time.monotonic() - begun, len(response.content)
