"""Plants, as administrators keep them."""

import pytest
from django.test import Client
from django.urls import reverse

from plant.models import Plant, User
from plant.roles import Role
from plant.services import plants
from tests.plant.factories import make_person, make_plant, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return make_plant(code="LT", name="Larkwater Terminal", time_zone="America/Halifax")


@pytest.fixture
def admin(plant: Plant) -> User:
    return make_person(Role.ADMINISTRATOR, plants=[plant])


def typed(**changes: str) -> dict[str, str]:
    fields = {
        "code": "FQ",
        "name": "Fennel Quarry",
        "time_zone": "Europe/Lisbon",
        "recurrence_window_days": "120",
        "recurrence_distance_m": "10",
    }
    return {**fields, **changes}


def test_a_plant_is_added_and_belongs_to_whoever_adds_it(admin: User):
    response = signed_in(admin).post(reverse("plant-new"), typed())

    added = Plant.objects.get(code="FQ")
    assert response["Location"] == reverse("plants")
    assert added in admin.plants.all()
    assert added.recurrence_window_days == 120


def test_a_zone_is_understood_whatever_its_case(admin: User):
    signed_in(admin).post(reverse("plant-new"), typed(time_zone=" europe/lisbon "))

    assert Plant.objects.get(code="FQ").time_zone == "Europe/Lisbon"


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"code": "fq"}, "code", "Capital letters and digits only"),
        ({"code": "LT"}, "code", "already exists"),
        ({"code": ""}, "code", "required"),
        ({"code": "A" * 13}, "code", "at most 12"),
        ({"name": "Larkwater Terminal"}, "name", "already exists"),
        ({"name": "a\x00b"}, "name", "Null characters"),
        ({"time_zone": "Mars/Olympus"}, "time_zone", "is not a time zone"),
        ({"recurrence_window_days": "0"}, "recurrence_window_days", "greater than or equal"),
        ({"recurrence_window_days": "many"}, "recurrence_window_days", "whole number"),
        ({"recurrence_window_days": "99999999999"}, "recurrence_window_days", "less than"),
        ({"recurrence_distance_m": "-1"}, "recurrence_distance_m", "greater than or equal"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field_and_kept(
    admin: User, changes: dict[str, str], field: str, said: str
):
    response = signed_in(admin).post(reverse("plant-new"), typed(**changes))

    assert response.status_code == 400
    assert said in str(response.context["form"].errors[field])
    assert Plant.objects.count() == 1
    if "recurrence_distance_m" not in changes:
        assert 'value="10"' in response.content.decode()


def test_a_plant_is_changed_but_its_code_stays(admin: User, plant: Plant):
    signed_in(admin).post(
        reverse("plant", args=["LT"]), typed(name="Larkwater Quay", recurrence_window_days="90")
    )

    plant.refresh_from_db()
    assert (plant.code, plant.name, plant.recurrence_window_days) == ("LT", "Larkwater Quay", 90)


def test_the_service_keeps_the_code_too(admin: User, plant: Plant):
    plant.code = "XX"

    with pytest.raises(plants.PlantCodeStays):
        plants.change_plant(plant=plant, by=admin)


def test_of_two_who_add_the_same_plant_the_second_is_refused(admin: User):
    def one() -> Plant:
        return Plant(code="FQ", name="Fennel Quarry", time_zone="UTC")

    plants.add_plant(plant=one(), by=admin)

    with pytest.raises(plants.PlantTaken):
        plants.add_plant(plant=one(), by=admin)


@pytest.mark.parametrize("name", ["plants", "plant-new"])
@pytest.mark.parametrize("role", Role)
def test_only_administrators_see_plants(role: Role, name: str, plant: Plant):
    response = signed_in(make_person(role, plants=[plant])).get(reverse(name))

    assert response.status_code == (200 if role is Role.ADMINISTRATOR else 403)


@pytest.mark.parametrize("name", ["plants", "plant-new"])
def test_strangers_are_sent_to_sign_in(name: str):
    assert Client().get(reverse(name)).status_code == 302


@pytest.mark.parametrize("method", ["get", "post"])
def test_another_plant_is_not_there(admin: User, method: str):
    make_plant(code="FQ", name="Fennel Quarry")
    client = signed_in(admin)

    response = getattr(client, method)(reverse("plant", args=["FQ"]))

    assert response.status_code == 404
    assert "Fennel" not in client.get(reverse("plants")).content.decode()


def test_the_list_counts_conveyors_and_people_in_use(admin: User, plant: Plant):
    make_person(Role.CLERK, plants=[plant])
    make_person(Role.CLERK, plants=[plant], is_active=False)

    row = signed_in(admin).get(reverse("plants")).context["page"][0]

    assert (row.conveyor_count, row.people_count) == (0, 2)


def test_a_superuser_without_plants_is_told_what_to_do_first():
    superuser = make_person(is_superuser=True)

    assert "There is no plant yet" in signed_in(superuser).get(reverse("plants")).content.decode()
