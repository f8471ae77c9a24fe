"""Reckonings over connections of their own: two people, two workers."""

import pytest
from django.utils import timezone

from diagnostics.fault_choice import FaultChoice
from diagnostics.models import BeltFaults, FaultReckoning
from diagnostics.services import fault_reckoning
from plant.models import Conveyor
from tests.diagnostics import factories
from tests.diagnostics.fault_rows import make_cases
from tests.plant.test_register_races import at_once

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def belt(plant) -> Conveyor:
    belt = factories.make_bare_conveyor(plant, tag="Q7")
    make_cases(belt, [10, 20, 30])
    return belt


def test_two_who_look_at_once_get_the_same_reckoning(plant, belt):
    def look() -> int:
        return fault_reckoning.look(plant, FaultChoice(), timezone.now()).pk

    first, second = at_once(look, look)

    assert first == second
    assert FaultReckoning.objects.count() == 1


def test_two_workers_make_one_usual_reckoning_and_do_it_once(plant, belt):
    assert sum(at_once(fault_reckoning.do_owed, fault_reckoning.do_owed)) == 1

    one = FaultReckoning.objects.get()
    assert (one.is_usual, one.result["events"]) == (True, 3)
    assert BeltFaults.objects.get().events == 3


def test_the_command_beside_a_worker_leaves_one_whole_reckoning(plant, belt):
    fault_reckoning.look(plant, FaultChoice(), timezone.now())

    at_once(
        fault_reckoning.do_owed,
        lambda: fault_reckoning.reckon_now(plant, tell=lambda share: None),
    )

    one = FaultReckoning.objects.get()
    assert (one.owed_at, one.refusal) == (None, "")
    assert BeltFaults.objects.filter(reckoning=one).count() == 1
