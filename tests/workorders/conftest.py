"""A plant with one proposed order, and the people who come to its pages."""

import pytest
from django.test import Client

from plant.models import Plant
from plant.roles import Role
from tests.plant import factories as register
from tests.workorders import factories
from tests.workorders.pages import client_of
from workorders.models import WorkOrder


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT", time_zone="America/Halifax")


@pytest.fixture
def order(plant: Plant) -> WorkOrder:
    conveyor = register.make_complete_conveyor(plant)
    return factories.make_order(factories.make_accepted_cause(factories.make_case(conveyor)))


@pytest.fixture
def planner(plant: Plant) -> Client:
    return client_of(Role.PLANNER, plant)


@pytest.fixture
def technician(plant: Plant) -> Client:
    return client_of(Role.TECHNICIAN, plant)


@pytest.fixture
def lead(plant: Plant) -> Client:
    return client_of(Role.LEAD, plant)
