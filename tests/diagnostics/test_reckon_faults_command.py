"""`manage.py reckon_faults`: every plant or one, at once, with how far it is."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.management.base import CommandError
from django.utils import timezone

from diagnostics.fault_choice import FaultChoice
from diagnostics.models import FaultReckoning
from diagnostics.services import fault_reckoning, fault_work
from plant.models import Conveyor, Plant
from tests.diagnostics import factories
from tests.diagnostics.command_runs import run
from tests.diagnostics.fault_rows import make_cases

pytestmark = pytest.mark.django_db
EVERY_CASE = FaultChoice()


@pytest.fixture
def belts(plant: Plant) -> list[Conveyor]:
    return [factories.make_bare_conveyor(plant, tag=f"Q{number}") for number in range(4)]


def look(plant: Plant, choice: FaultChoice = EVERY_CASE, **later: float) -> FaultReckoning:
    return fault_reckoning.look(plant, choice, timezone.now() + timedelta(**later))


def test_the_command_reckons_every_plant_and_says_how_far_it_is(plant, belts):
    make_cases(belts[0], [10, 20])
    other = factories.make_plant(code="ZZ")

    status, out, err = run("reckon_faults")

    assert (status, err) == (0, "")
    assert "LT: 30%\n" in out
    assert "LT: 2 cases on 4 belts, " in out
    assert "ZZ: 0 cases on 0 belts, " in out
    assert FaultReckoning.objects.filter(plant=other, is_usual=True).exists()


def test_the_command_reckons_one_plant_alone(plant, belts):
    factories.make_plant(code="ZZ")

    _status, out, _err = run("reckon_faults", "--plant", "ZZ")

    assert "LT" not in out
    assert FaultReckoning.objects.count() == 1


def test_the_command_refuses_a_plant_there_is_not(plant):
    with pytest.raises(CommandError, match="no plant 'XX'"):
        run("reckon_faults", "--plant", "XX")


def test_the_command_tells_of_a_plant_that_came_to_nothing(plant, belts, monkeypatch):
    def broken(*_: Any) -> None:
        raise RuntimeError("no memory left")

    monkeypatch.setattr(fault_work, "plant_events", broken)

    status, _out, err = run("reckon_faults")

    assert status == 1
    assert err.startswith("LT: It failed.")
