"""Who changed rolls, meter readings and a plant's own figures, on the pages of each."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import Conveyor, MeterReading, Plant, PlantChange, RollChange
from plant.roles import Role
from tests.plant.factories import (
    make_complete_conveyor,
    make_person,
    make_plant,
    signed_in,
)
from tests.plant.meter_rows import keep
from tests.plant.register_site import address
from tests.plant.roll_rows import change

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return make_plant(recurrence_window_days=180)


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return make_complete_conveyor(plant)


def client_of(plant: Plant, role: Role, name: str) -> Client:
    return signed_in(make_person(role, plants=[plant], username=f"{name}@larkwater.example"))


def read(client: Client, where: str, **asked: str) -> str:
    response = client.get(where, asked)
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def test_a_plants_figures_say_who_changed_them_and_from_what(plant: Plant):
    client = client_of(plant, Role.ADMINISTRATOR, "odile")
    form = {
        "code": plant.code,
        "name": plant.name,
        "time_zone": "UTC",
        "recurrence_window_days": "120",
        "recurrence_distance_m": "15",
    }
    # What a test does is one transaction, and several changes in one are one.
    PlantChange.objects.update(pgh_created_at=timezone.now() - timedelta(days=3))
    assert client.post(reverse("plant", args=[plant.code]), form).status_code == 302

    text = read(client, reverse("plant-history", args=[plant.code]))

    assert 'recurrence window: 180 → <strong class="figure">120</strong>' in text
    assert "odile" in text


def test_a_meter_reading_taken_back_stays_in_its_history(plant: Plant, conveyor: Conveyor):
    row = keep(conveyor, 0, "12345")
    client = client_of(plant, Role.PLANNER, "ruan")
    client.post(address(conveyor, "meter-reading-remove", row.pk))

    text = read(client, address(conveyor, "meter-history"))

    assert not MeterReading.objects.exists()
    assert "was removed" in text
    assert "ruan" in text
    assert "12345" in text


def test_changed_rolls_stand_in_the_history_of_the_conveyor(plant: Plant, conveyor: Conveyor):
    row = change(conveyor, "5")[0]
    client = client_of(plant, Role.LEAD, "ines")
    client.post(address(conveyor, "roll-change-take-back", row.pk))

    text = read(client, address(conveyor, "conveyor-history"), of="roll")

    assert "C5, left wing" in text
    assert "ines" in text


def test_the_register_of_a_day_tells_the_rolls_that_counted_then(plant, conveyor):
    client = client_of(plant, Role.CLERK, "mara")
    kept, undone = change(conveyor, "5-6")
    RollChange.objects.filter(pk=undone.pk).update(undone_at=timezone.now())
    today = timezone.localdate(timezone.now(), plant.zone_info)

    text = read(client, address(conveyor, "conveyor-as-it-stood"), on=today.isoformat())

    assert f"<strong>{kept.set_name}</strong>, left wing" in text
    assert f"<strong>{undone.set_name}</strong>" not in text
    yesterday = (today - timedelta(days=1)).isoformat()
    assert "Rolls changed until then" not in read(
        client, address(conveyor, "conveyor-as-it-stood"), on=yesterday
    )


def test_only_administrators_read_the_history_of_a_plant(plant: Plant):
    where = reverse("plant-history", args=[plant.code])

    assert client_of(plant, Role.LEAD, "ines").get(where).status_code == 403
    stranger = client_of(make_plant(), Role.ADMINISTRATOR, "odile")
    assert stranger.get(where).status_code == 404
