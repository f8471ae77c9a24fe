"""What is to be locked stands among the cautions of an order."""

import pytest

from plant.roles import Role
from tests.workorders.pages import address, client_of
from tests.workorders.sheet_rows import make_approved
from workorders.models import WorkOrder

pytestmark = pytest.mark.django_db


def page_of(order: WorkOrder) -> str:
    client = client_of(Role.TECHNICIAN, order.conveyor.plant)
    return client.get(address("order", order)).content.decode()


def test_the_points_of_the_register_stand_before_the_steps():
    order = make_approved()
    order.conveyor.isolation_points = ["MCC-4 drive isolator Q30-M1, lock 1", "<b>weight</b>"]
    order.conveyor.save()

    page = page_of(order)

    drive = page.index("<li>MCC-4 drive isolator Q30-M1, lock 1</li>")
    assert drive < page.index("<li>&lt;b&gt;weight&lt;/b&gt;</li>") < page.index("Steps</h2>")
    assert "names no isolation points" not in page


def test_a_register_without_points_is_said_in_amber():
    assert '<p class="amber">The register names no isolation points' in page_of(make_approved())


def test_work_beside_a_running_belt_asks_for_no_lock():
    order = make_approved()
    WorkOrder.objects.filter(pk=order.pk).update(needs_isolation=False)

    assert "isolation points" not in page_of(order)
