"""/api/v1/meter-readings/bulk and /api/v1/condition-readings/bulk: a round over several belts."""

from http import HTTPStatus
from typing import Any

import pytest

from plant.models import ConditionReading, Conveyor, MeterReading, Plant
from tests.asking_api import System, system_of
from tests.plant.factories import make_complete_conveyor, make_plant

pytestmark = pytest.mark.django_db
METERS, CONDITIONS = "/api/v1/meter-readings/bulk", "/api/v1/condition-readings/bulk"
HOURS = {"quantity": "running_hours", "read_at": "2026-03-01T00:00:00Z", "reading": 100}
LAGGING = {
    "quantity": "lagging_thickness",
    "value": 9.5,
    "component": "Head pulley",
    "taken_at": "2026-03-01T00:00:00Z",
}


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture(autouse=True)
def belts(plant: Plant) -> list[Conveyor]:
    return [make_complete_conveyor(plant, tag=tag) for tag in ("Q30", "Q40")]


@pytest.fixture
def system(plant: Plant) -> System:
    return system_of(plant)


def send(
    system: System, address: str, *items: Any, status: int = HTTPStatus.OK, **more: Any
) -> Any:
    return system.post(address, {"items": list(items), **more}, status)["results"]


def statuses(results: list[dict[str, Any]]) -> list[int]:
    return [one["status"] for one in results]


def test_readings_of_several_belts_are_kept(system: System) -> None:
    results = send(system, METERS, {"conveyor": "Q30", **HOURS}, {"conveyor": "q40", **HOURS})

    assert statuses(results) == [201, 201]
    assert [one["record"]["conveyor"] for one in results] == ["Q30", "Q40"]
    assert {one["record"]["read_by"] for one in results} == {"stores system"}


def test_the_same_reading_again_changes_nothing(system: System) -> None:
    item = {"conveyor": "Q30", **LAGGING}

    assert statuses(send(system, CONDITIONS, item, item)) == [201, 200]
    assert ConditionReading.objects.count() == 1


def test_each_reading_is_judged_for_itself(system: System) -> None:
    results = send(
        system,
        CONDITIONS,
        {"conveyor": "Q30", **LAGGING, "component": "Middle pulley"},
        {"conveyor": "Q30", **LAGGING, "value": -1},
        {"conveyor": "Q31", **LAGGING},
        {"conveyor": "Q40", **LAGGING},
        LAGGING,
    )

    assert statuses(results) == [400, 409, 400, 201, 400]
    assert [one["problem"]["errors"][0]["field"] for one in (results[0], results[2])] == [
        "component",
        "conveyor",
    ]


def test_all_or_nothing_keeps_nothing_when_one_is_refused(system: System) -> None:
    results = send(
        system,
        METERS,
        {"conveyor": "Q30", **HOURS},
        {"conveyor": "Q30", **HOURS, "read_at": "2026-03-02T00:00:00Z", "reading": 99},
        status=HTTPStatus.CONFLICT,
        all_or_nothing=True,
    )

    assert statuses(results) == [424, 409]
    assert results[1]["problem"]["code"] == "implausible_reading"
    assert not MeterReading.objects.exists()


def test_a_belt_of_another_plant_is_not_known(system: System) -> None:
    make_complete_conveyor(make_plant(), tag="Q50")

    (told,) = send(system, METERS, {"conveyor": "Q50", **HOURS})

    assert told["problem"]["errors"][0]["code"] == "unknown_conveyor"
    assert "Q50." in told["problem"]["detail"]
