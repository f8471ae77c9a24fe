"""A belt's page of recurring faults as a lead of its plant reads it."""

import csv
import io

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.belt_trend.parts import BuiltPart
from plant.models import Conveyor
from plant.roles import Role
from tests.plant import factories as register
from tests.plant.factories import signed_in

YEAR = {"since": "2026-01-01", "until": "2026-12-31"}


@pytest.fixture
def belt() -> Conveyor:
    return register.make_complete_conveyor(register.make_plant(), tag="Q30")


@pytest.fixture
def lead(belt: Conveyor) -> Client:
    return signed_in(register.make_person(Role.LEAD, plants=[belt.plant]))


def address(belt: Conveyor, name: str = "conveyor-trend", *more: str) -> str:
    return reverse(name, args=[belt.plant.code, belt.tag, *more])


def built(client: Client, belt: Conveyor, slug: str, **asked: str) -> BuiltPart:
    response = client.get(address(belt), {**YEAR, **asked})
    assert response.status_code == 200
    return dict(response.context["parts"])[slug]


def lines(client: Client, belt: Conveyor, slug: str, **asked: str) -> list[dict[str, str]]:
    response = client.get(address(belt, "conveyor-trend-file", slug), {**YEAR, **asked})
    assert response["Content-Type"].startswith("text/csv")
    return list(csv.DictReader(io.StringIO(response.content.decode("utf-8-sig"))))


def text_of(client: Client, belt: Conveyor, **asked: str) -> str:
    content = client.get(address(belt), {**YEAR, **asked}).content.decode()
    return " ".join(content.replace("\N{NO-BREAK SPACE}", " ").split())
