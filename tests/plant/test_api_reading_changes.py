"""Meter and condition readings of the API: one of them, corrected, taken back."""

from http import HTTPStatus
from typing import Any

import pytest

from plant.metering.readings import WentOn
from plant.models import ConditionReading, Conveyor, MeterReading, Plant
from plant.roles import Role
from tests.asking_api import System, system_of
from tests.plant import condition_rows, meter_rows
from tests.plant.factories import make_complete_conveyor, make_person, make_plant

pytestmark = pytest.mark.django_db
OF = "/api/v1/conveyors/Q30"


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return make_complete_conveyor(plant, tag="Q30")


@pytest.fixture
def system(plant: Plant, conveyor: Conveyor) -> System:
    return system_of(plant)


def condition_of(row: Any) -> str:
    return f"{OF}/condition-readings/{row.pk}"


def meter_of(row: Any) -> str:
    return f"{OF}/meter-readings/{row.pk}"


def test_a_condition_reading_is_corrected_and_the_rest_stays(
    system: System, conveyor: Conveyor
) -> None:
    row = condition_rows.read(conveyor, "Head pulley", 9.5, spot="middle", note="gauge 4")

    told = system.patch(condition_of(row), {"value": 9.1}, HTTPStatus.OK, row.version)

    assert (told["value"], told["spot"], told["note"]) == (9.1, "middle", "gauge 4")
    assert told["version"] == row.version + 1
    assert system.get(condition_of(row)) == told


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({}, None),
        ({"value": "1e400"}, "value"),
        ({"value": None}, "value"),
        ({"taken_at": "1940-03-01T08:00:00Z"}, "taken_at"),
        ({"note": "a\x00b"}, "note"),
    ],
)
def test_a_correction_that_cannot_be_is_refused_by_field(
    system: System, conveyor: Conveyor, body: dict[str, Any], field: str | None
) -> None:
    row = condition_rows.read(conveyor, "Head pulley", 9.5)

    told = system.patch(condition_of(row), body, HTTPStatus.BAD_REQUEST, row.version)

    assert [one["field"] for one in told["errors"]] == [field]


def test_a_thickness_below_nothing_is_refused(system: System, conveyor: Conveyor) -> None:
    row = condition_rows.read(conveyor, "Head pulley", 9.5)

    told = system.patch(condition_of(row), {"value": -2}, HTTPStatus.CONFLICT, row.version)

    assert told["code"] == "figure_refused"


def test_readings_are_taken_back(system: System, conveyor: Conveyor) -> None:
    condition = condition_rows.read(conveyor, "Head pulley", 9.5)
    meter = meter_rows.keep(conveyor, 0, "5")
    assert system.get(meter_of(meter))["reading"] == 5.0

    system.delete(condition_of(condition), HTTPStatus.NO_CONTENT, condition.version)
    system.delete(meter_of(meter), HTTPStatus.NO_CONTENT)

    assert not ConditionReading.objects.exists()
    assert not MeterReading.objects.exists()
    system.get(condition_of(condition), HTTPStatus.NOT_FOUND)
    system.delete(meter_of(meter), HTTPStatus.NOT_FOUND)


def test_a_meter_reading_others_stand_on_stays(system: System, conveyor: Conveyor) -> None:
    meter_rows.keep(conveyor, 0, "99990")
    rolled = meter_rows.keep(conveyor, 1, "5", went_on=WentOn.ROLLED_OVER, digits=5)
    meter_rows.keep(conveyor, 2, "20")

    told = system.delete(meter_of(rolled), HTTPStatus.CONFLICT)

    assert told["code"] == "implausible_reading"
    assert MeterReading.objects.count() == 3


def test_a_correction_of_an_old_view_is_refused_with_the_reading_as_it_is(
    system: System, conveyor: Conveyor
) -> None:
    row = condition_rows.read(conveyor, "Head pulley", 9.5)
    system.patch(condition_of(row), {"value": 9.1}, HTTPStatus.OK, row.version)

    told = system.patch(
        condition_of(row), {"value": 8}, HTTPStatus.PRECONDITION_FAILED, row.version
    )

    assert told["present"]["value"] == 9.1
    system.delete(condition_of(row), HTTPStatus.PRECONDITION_FAILED, row.version)
    system.delete(condition_of(row), HTTPStatus.PRECONDITION_REQUIRED)


def test_what_a_person_wrote_down_is_left_to_people(
    system: System, conveyor: Conveyor, plant: Plant
) -> None:
    by = make_person(Role.TECHNICIAN, plants=[plant])
    condition = condition_rows.read(conveyor, "Head pulley", 9.5, by=by)
    meter = meter_rows.keep(conveyor, 0, "5")
    MeterReading.objects.update(kept_by=by)

    refused = [
        system.patch(condition_of(condition), {"value": 8}, HTTPStatus.CONFLICT, 1),
        system.delete(condition_of(condition), HTTPStatus.CONFLICT, 1),
        system.delete(meter_of(meter), HTTPStatus.CONFLICT),
    ]

    assert {one["code"] for one in refused} == {"kept_by_a_person"}


def test_a_reading_is_found_on_its_own_conveyor_alone(
    system: System, conveyor: Conveyor, plant: Plant
) -> None:
    other = make_complete_conveyor(plant, tag="Q40")

    for row, address in (
        (condition_rows.read(other, "Head pulley", 9.5), condition_of),
        (meter_rows.keep(other, 0, "5"), meter_of),
    ):
        system.get(address(row), HTTPStatus.NOT_FOUND)
