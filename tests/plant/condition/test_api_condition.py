"""/api/v1/conveyors/<tag>/condition-readings."""

import json
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client

from plant.models import ApiKey, ConditionReading, Conveyor, Plant
from plant.services import keys
from tests.plant.condition_rows import LATER, read
from tests.plant.factories import make_complete_conveyor, make_plant

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/conveyors/Q30/condition-readings"
SENT = {
    "quantity": "roll_shell_thickness",
    "value": 4.2,
    "component": "c",
    "set": "12",
    "spot": "left wing",
    "taken_at": "2026-03-01T10:00:00+02:00",
}


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return make_complete_conveyor(plant, tag="Q30")


def key_for(plant: Plant, *scopes: ApiKey.Scope) -> str:
    return keys.make_key(
        name="gauge", plant=plant, scopes=list(scopes), expires_at=None, by=None, now=LATER
    )[1]


@pytest.fixture
def secret(plant: Plant, conveyor: Conveyor) -> str:
    return key_for(plant, ApiKey.Scope.READINGS_READ, ApiKey.Scope.READINGS_WRITE)


def send(secret: str, **changed: Any):
    headers = {"Authorization": f"Api-Key {secret}"}
    body = json.dumps({**SENT, **changed})
    return Client().post(ADDRESS, body, "application/json", headers=headers)


def ask(secret: str, **asked: str):
    return Client().get(ADDRESS, asked, headers={"Authorization": f"Api-Key {secret}"})


def test_a_reading_sent_is_kept_and_given_back(secret: str, plant: Plant):
    response = send(secret)

    assert response.status_code == HTTPStatus.CREATED
    told = response.json()
    assert told["taken_at"] == "2026-03-01T08:00:00Z"
    assert (told["plant"], told["conveyor"]) == (plant.code, "Q30")
    assert (told["component"], told["set"], told["spot"]) == ("C", "C12", "left wing")
    assert (told["value"], told["unit"], told["taken_by"]) == (4.2, "mm", "gauge")
    assert ask(secret).json()["results"] == [told]


def test_the_same_reading_sent_again_changes_nothing_and_another_is_refused(secret: str):
    send(secret)

    assert send(secret).status_code == HTTPStatus.OK
    other = send(secret, value=4.1)
    assert (other.status_code, other.json()["code"]) == (409, "other_reading_then")
    assert ConditionReading.objects.get().value == 4.2


def test_what_is_unlikely_is_kept_and_what_cannot_be_is_refused(secret: str):
    assert send(secret, value=99).status_code == HTTPStatus.CREATED

    refused = send(secret, value=-1, spot="centre")
    assert (refused.status_code, refused.json()["code"]) == (409, "figure_refused")
    half_a_grade = send(secret, quantity="noise_grade", value=2.5)
    assert (half_a_grade.status_code, half_a_grade.json()["code"]) == (409, "figure_refused")
    assert send(secret, quantity="noise_grade", value=2).status_code == HTTPStatus.CREATED


def test_a_reading_of_the_belt_names_no_component(secret: str, conveyor: Conveyor):
    told = send(secret, quantity="carry_cover_thickness", component=None, set=None).json()

    assert told["component"] is None
    assert ConditionReading.objects.get().belt == conveyor.belts.get()


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"quantity": "smell"}, "quantity"),
        ({"value": "thin"}, "value"),
        ({"value": 1e9}, "value"),
        ({"component": "Engine"}, "component"),
        ({"set": "99"}, "set"),
        ({"set": "1-3"}, "set"),
        ({"taken_at": "yesterday"}, "taken_at"),
        ({"taken_at": "2999-01-01T00:00:00Z"}, "taken_at"),
        ({"note": "x" * 201}, "note"),
    ],
)
def test_a_bad_field_is_named(secret: str, changed, field):
    response = send(secret, **changed)

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert field in json.dumps(response.json())
    assert not ConditionReading.objects.exists()


def test_the_list_is_narrowed(secret: str, conveyor: Conveyor):
    send(secret)
    read(conveyor, "Head pulley", 9.0, day=3)

    def found(**asked: str) -> list[float]:
        return [one["value"] for one in ask(secret, **asked).json()["results"]]

    assert found() == [9.0, 4.2]
    assert found(quantity="lagging_thickness") == [9.0]
    assert found(component="c") == [4.2]
    assert found(taken_since="2026-03-02T00:00:00Z") == [9.0]
    assert ask(secret, quantity="smell").status_code == HTTPStatus.BAD_REQUEST


def test_each_scope_opens_one_door(plant: Plant, conveyor: Conveyor):
    reader = key_for(plant, ApiKey.Scope.READINGS_READ)
    writer = key_for(plant, ApiKey.Scope.READINGS_WRITE)
    meters = key_for(plant, ApiKey.Scope.METERS_READ, ApiKey.Scope.METERS_WRITE)

    assert send(reader).status_code == HTTPStatus.FORBIDDEN
    assert ask(writer).status_code == HTTPStatus.FORBIDDEN
    assert ask(meters).status_code == HTTPStatus.FORBIDDEN
    assert ask(reader).status_code == HTTPStatus.OK
    assert ask(key_for(make_plant(), ApiKey.Scope.READINGS_READ)).status_code == 404
