"""What tests of pages share: a person of a role, an address of an order."""

from django.test import Client
from django.urls import reverse

from plant.models import Plant
from plant.roles import Role
from tests.plant import factories as register
from tests.plant.factories import signed_in
from workorders.models import WorkOrder


def client_of(role: Role, *plants: Plant) -> Client:
    return signed_in(register.make_person(role, plants=list(plants)))


def address(name: str, order: WorkOrder, *more: object) -> str:
    return reverse(name, args=[order.number, *more])
