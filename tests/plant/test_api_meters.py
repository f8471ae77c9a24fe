"""/api/v1/conveyors/<tag>/meter-readings."""

import json
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client

from plant.models import ApiKey, Conveyor, MeterReading, Plant
from plant.services import keys
from tests.plant.factories import make_conveyor, make_plant
from tests.plant.meter_rows import LATER, days, keep

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/conveyors/Q30/meter-readings"
SENT = {"quantity": "running_hours", "read_at": "2026-03-01T02:00:00+02:00", "reading": 1234.5}


@pytest.fixture
def plant() -> Plant:
    return make_plant()


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return make_conveyor(plant, tag="Q30")


@pytest.fixture
def secret(plant: Plant, conveyor: Conveyor) -> str:
    scopes = [ApiKey.Scope.METERS_READ, ApiKey.Scope.METERS_WRITE]
    made = keys.make_key(
        name="belt weigher", plant=plant, scopes=scopes, expires_at=None, by=None, now=LATER
    )
    return made[1]


def send(secret: str, body: Any = SENT, address: str = ADDRESS, **changed: Any):
    text = body if isinstance(body, str) else json.dumps({**body, **changed})
    headers = {"Authorization": f"Api-Key {secret}"}
    return Client().post(address, text, "application/json", headers=headers)


def ask(secret: str, address: str = ADDRESS, **asked: str):
    return Client().get(address, asked, headers={"Authorization": f"Api-Key {secret}"})


def test_a_reading_sent_is_kept_and_given_back(secret: str, plant: Plant):
    response = send(secret)

    assert response.status_code == HTTPStatus.CREATED
    told = response.json()
    assert told["read_at"] == "2026-03-01T00:00:00Z"
    assert (told["plant"], told["conveyor"], told["reading"]) == (plant.code, "Q30", 1234.5)
    # Whoever says nothing is the system itself.
    assert told["read_by"] == "belt weigher"
    assert ask(secret).json()["results"] == [told]


def test_the_same_reading_sent_again_changes_nothing(secret: str):
    first, again = send(secret), send(secret, reading="1234.500")

    assert again.status_code == HTTPStatus.OK
    assert again.json()["id"] == first.json()["id"]
    other = send(secret, reading=1235)
    assert (other.status_code, other.json()["code"]) == (409, "other_reading_then")
    assert MeterReading.objects.count() == 1


def test_a_meter_running_backwards_is_refused_unless_it_rolled_over(secret: str, conveyor):
    keep(conveyor, 0, "99990")
    later = {**SENT, "read_at": "2026-03-02T00:00:00Z", "reading": 4}

    refused = send(secret, later)
    assert (refused.status_code, refused.json()["code"]) == (409, "implausible_reading")
    assert "99,990" in refused.json()["detail"]
    taken = send(secret, later, went_on="rolled_over", digits=5)
    assert taken.status_code == HTTPStatus.CREATED


def test_a_replaced_meter_may_have_gone_unread(secret: str):
    told = send(secret, reading=None, went_on="replaced", new_meter_first=0).json()

    assert (told["reading"], told["new_meter_first"]) == (None, 0)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("quantity", "passengers"),
        ("quantity", None),
        ("read_at", "yesterday"),
        ("read_at", "0001-01-01T00:00:00+14:00"),
        ("read_at", "9999-12-31T23:59:59Z"),
        ("reading", "NaN"),
        ("reading", "Infinity"),
        ("reading", -1),
        ("reading", 10**10),
        ("reading", "1" * 10_000),
        ("reading", None),
        ("reading", True),
        ("went_on", "sideways"),
        ("went_on", "rolled_over"),
        ("digits", 5),
        ("digits", 10**30),
        ("new_meter_first", 5),
        ("note", "a\x00b"),
        ("note", "n" * 10_000),
        ("read_by", ["x"]),
    ],
)
def test_what_is_wrong_is_named_by_its_field(secret: str, field: str, value: Any):
    response = send(secret, **{field: value})

    named = {"went_on": {"went_on", "digits"}}.get(field, {field})
    assert response.status_code == HTTPStatus.BAD_REQUEST, response.content
    assert {one["field"] for one in response.json()["errors"]} & named
    assert not MeterReading.objects.exists()


def test_what_is_still_to_come_is_refused(secret: str):
    response = send(secret, read_at="2199-01-01T00:00:00Z")

    assert (response.status_code, response.json()["code"]) == (409, "figure_refused")


@pytest.mark.parametrize("body", ["", "[]", "null", '"x"', "{", "[" * 5000])
def test_a_body_that_is_no_reading_is_refused(secret: str, body: str):
    assert send(secret, body).status_code == HTTPStatus.BAD_REQUEST


@pytest.mark.parametrize("tag", ["XX", "%00", "Q30%00", "x" * 10_000, "Q3%F0%9F%9A%9C"])
def test_an_unknown_conveyor_is_not_there(secret: str, tag: str):
    address = f"/api/v1/conveyors/{tag}/meter-readings"

    assert ask(secret, address).status_code == HTTPStatus.NOT_FOUND
    assert send(secret, address=address).status_code == HTTPStatus.NOT_FOUND


def test_a_conveyor_of_another_plant_is_not_there(secret: str):
    theirs = make_conveyor(make_plant(), tag="Z9")
    keep(theirs, 0, "5")
    address = "/api/v1/conveyors/Z9/meter-readings"

    assert ask(secret, address).status_code == HTTPStatus.NOT_FOUND
    assert send(secret, address=address).status_code == HTTPStatus.NOT_FOUND
    assert MeterReading.objects.count() == 1


def test_the_list_is_narrowed_and_paged(secret: str, conveyor: Conveyor):
    for number in range(4):
        keep(conveyor, number, str(number))

    since = ask(secret, read_since=days(2).isoformat()).json()["results"]
    first = ask(secret, limit="3").json()

    assert [one["reading"] for one in since] == [3, 2]
    assert [one["reading"] for one in first["results"]] == [3, 2, 1]
    assert [one["reading"] for one in ask(secret, first["next"]).json()["results"]] == [0]
    assert ask(secret, quantity="tonnes").json()["results"] == []
    assert ask(secret, quantity="x").status_code == HTTPStatus.BAD_REQUEST


def test_the_tag_may_be_written_in_small_letters(secret: str):
    assert ask(secret, "/api/v1/conveyors/q30/meter-readings").status_code == HTTPStatus.OK
