"""The stores of the invented plants, told without their whole history."""

from datetime import timedelta

import pytest

from diagnostics import knowledge_files
from plant.roles import Role
from tests.plant.factories import make_complete_conveyor, make_person, make_plant
from tests.workorders.factories import NOW, bring_to
from workorders.models import OrderPart, Part, PartDue, PartMovement
from workorders.order_states import OrderState
from workorders.services import raising_by_hand
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read
from workorders.services.demo_history.storing import fill_stores
from workorders.services.raising_by_hand import WorkWanted


@pytest.mark.django_db
def test_stores_hold_what_orders_left_and_orders_reserve_the_rest():
    plant = make_plant(code="LT")
    belt = make_complete_conveyor(plant).belts.get()
    belt.width_mm = 1600
    belt.save()
    wanted = WorkWanted(title="Renew rolls", work_method="replace-carrying-rolls")
    done, proposed = (
        raising_by_hand.raise_by_hand(conveyor=belt.conveyor, wanted=wanted, by=None, now=NOW)
        for _order in range(2)
    )
    bring_to(done, OrderState.DONE)
    people = {role: (make_person(role, plants=[plant]),) for role in Role}

    fill_stores(plant, Cast(people), NOW + timedelta(days=100))

    roll = Part.objects.get(number="CR-159-600")
    assert OrderPart.objects.get(order=done, part=roll).used == 3
    assert OrderPart.objects.get(order=proposed, part=roll).used == 0
    last = roll.movements.order_by("pk").last()
    assert last is not None
    assert roll.on_hand == last.on_hand_after == 14
    assert not OrderPart.objects.filter(part__number="CR-133-530").exists()
    assert PartDue.objects.filter(due_on__lt=NOW.date() + timedelta(days=100)).exists()
    assert set(PartMovement.objects.values_list("kind", flat=True)) == {"counted", "came", "used"}
    # A second plant has a store of its own.
    assert not Part.objects.filter(number="FQ-CR-133").exists()


def test_jobs_of_parts_are_work_methods_there_are():
    known = set(knowledge_files.work_methods())

    jobs = {job for part in read("parts.yaml")["parts"] for job in part["jobs"]}

    assert jobs <= known
