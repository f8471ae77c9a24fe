"""What is sent to a connected system is in its words, or kept back where it is strict."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import ConnectedSystem, Conveyor, Plant, WordingEntry, WordingGap
from plant.roles import Role
from plant.services import webhook_owing
from plant.webhooks.answers import Fault
from tests.plant import factories
from tests.plant.webhooks.receiver import Receiver
from tests.plant.webhooks.targets import State, make_target, rename, send_now

pytestmark = pytest.mark.django_db


def make_system(plant: Plant, *, is_strict: bool = False) -> ConnectedSystem:
    system = ConnectedSystem.objects.create(
        plant=plant, name="stores", is_on=True, is_strict=is_strict, made_at=timezone.now()
    )
    WordingEntry.objects.create(system=system, part="change_kind", key="changed", value="U-02")
    return system


def test_words_of_the_system_are_sent_and_those_of_others_stay_ours(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    make_target(plant, receiver.address("/theirs"), system=make_system(plant))
    make_target(plant, receiver.address("/ours"), name="other")
    rename(conveyor, "Renamed")

    send_now()

    kinds = {one.path: one.change["kind"] for one in receiver.got}
    assert kinds == {"/theirs": "U-02", "/ours": "changed"}


def test_a_word_that_is_missing_goes_as_ours_and_is_counted_as_a_gap(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    system = make_system(plant)
    make_target(plant, receiver.address(), system=system)
    factories.make_conveyor(plant, tag="CV-9")

    send_now()

    assert receiver.got[0].change["kind"] == "added"
    assert WordingGap.objects.get(system=system).word == "added"


def test_of_a_strict_system_what_has_no_word_is_set_aside_until_it_has_one(
    receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    system = make_system(plant, is_strict=True)
    target, _secret = make_target(plant, receiver.address(), system=system)
    factories.make_conveyor(plant, tag="CV-9")
    send_now()
    delivery = target.deliveries.get()
    assert (delivery.state, delivery.fault) == (State.PARKED, Fault.WORDS_MISSING)
    assert not receiver.got

    WordingEntry.objects.create(system=system, part="change_kind", key="added", value="U-01")
    target.deliveries.update(state=State.OWED)
    send_now()

    assert receiver.got[0].change["kind"] == "U-01"


def test_looking_at_what_is_sent_counts_no_gap(
    client: Client, receiver: Receiver, conveyor: Conveyor, plant: Plant
) -> None:
    system = make_system(plant)
    target, _secret = make_target(plant, receiver.address(), system=system)
    factories.make_conveyor(plant, tag="CV-9")
    webhook_owing.owe_changes()
    client.force_login(factories.make_person(Role.ADMINISTRATOR, plants=[plant]))

    page = client.get(reverse("webhook-delivery", args=[target.deliveries.get().pk]))

    assert "CV-9" in page.content.decode()
    assert not WordingGap.objects.filter(system=system).exists()
