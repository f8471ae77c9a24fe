"""What is locked before hands come near: its order, its history, its way through files."""

import pytest
from django.test import Client

from plant.models import Conveyor, Plant
from plant.roles import Role
from tests.plant.factories import make_person, make_plant
from tests.plant.register_files.imports import csv_of, send, take_in, verdicts_of
from tests.plant.register_site import address, client_of, form_of, quay_belt

pytestmark = pytest.mark.django_db

DRIVE = "MCC-4 drive isolator Q30-M1, lock 1"
WEIGHT = "Take-up weight landed on its stops"


@pytest.fixture
def plant() -> Plant:
    return make_plant(code="LT", name="Larkwater Terminal")


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return quay_belt(plant)


@pytest.fixture
def planner(plant: Plant) -> Client:
    return client_of(Role.PLANNER, plant)


def keep(planner: Client, conveyor: Conveyor, typed: str) -> list[str]:
    conveyor.refresh_from_db()
    answer = planner.post(
        address(conveyor, "conveyor-edit"), form_of(conveyor, isolation_points=typed)
    )
    assert answer.status_code == 302, answer.content
    conveyor.refresh_from_db()
    return conveyor.isolation_points


def test_points_are_kept_one_to_a_line_in_their_order(planner, conveyor):
    kept = keep(planner, conveyor, f"{WEIGHT}\r\n\r\n  {DRIVE} \r\n{WEIGHT.upper()}")

    assert kept == [WEIGHT, DRIVE]
    assert f"<li>{WEIGHT}</li><li>{DRIVE}</li>" in planner.get(address(conveyor)).text
    assert keep(planner, conveyor, "") == []


def test_a_changed_point_stands_in_the_history(planner, conveyor):
    keep(planner, conveyor, DRIVE)
    keep(planner, conveyor, f"{DRIVE}\n{WEIGHT}")

    told = planner.get(address(conveyor, "conveyor-history")).text

    assert "isolation points" in told.lower()
    # Points may hold commas themselves.
    assert f"{DRIVE}; {WEIGHT}" in told


def test_points_come_from_a_file_line_by_line(plant, conveyor):
    by = make_person(Role.PLANNER, plants=[plant])
    conveyor.isolation_points = [DRIVE, "=lock 2", WEIGHT]
    conveyor.save()
    table = csv_of(plant, "conveyors")
    assert f'"{DRIVE}\n=lock 2\n{WEIGHT}"'.encode() in table
    assert set(verdicts_of(send(plant, by, table))) == {"unchanged"}

    take_in(plant, by, table.replace(WEIGHT.encode(), b"Chute gate shut"))

    conveyor.refresh_from_db()
    assert conveyor.isolation_points == [DRIVE, "=lock 2", "Chute gate shut"]


def test_too_many_points_of_a_file_are_refused(plant, conveyor):
    conveyor.isolation_points = [DRIVE]
    conveyor.save()
    many = "\n".join(f"lock {number}" for number in range(21))
    table = csv_of(plant, "conveyors").replace(DRIVE.encode(), many.encode())

    sent = send(plant, make_person(Role.PLANNER, plants=[plant]), table)

    assert set(verdicts_of(sent)) == {"refused"}
