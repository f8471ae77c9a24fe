import pytest

from plant import access
from plant.models import Plant, User
from plant.roles import Permission, Role
from plant.services.demo_people import DEMO_PEOPLE, ensure_demo_people

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return Plant.objects.create(code="LT", name="Larkwater Terminal", is_demo=True)


def test_there_is_one_person_for_each_role():
    assert sorted(person.role for person in DEMO_PEOPLE) == sorted(Role)


def test_each_person_signs_in_with_the_printed_password_and_sees_the_plant(plant: Plant):
    ensure_demo_people(plant)

    for person in DEMO_PEOPLE:
        user = User.objects.get(username=person.username)
        assert user.check_password(person.password)
        assert list(access.plants_of(user)) == [plant]
        assert [group.name for group in user.groups.all()] == [person.role.value]


def test_role_gives_its_permissions(plant: Plant):
    ensure_demo_people(plant)
    by_name = {user.username.split("@")[0]: user for user in User.objects.all()}

    assert access.may(by_name["admin"], Permission.ADMINISTER)
    assert access.may(by_name["technician"], Permission.WALK_DOWN)
    assert not access.may(by_name["clerk"], Permission.WALK_DOWN)


def test_second_time_makes_nobody_twice_and_keeps_a_changed_password(plant: Plant):
    ensure_demo_people(plant)
    clerk = User.objects.get(username="clerk@larkwater.example")
    clerk.set_password("changed by somebody")
    clerk.save()

    ensure_demo_people(plant)

    assert User.objects.count() == len(DEMO_PEOPLE)
    clerk.refresh_from_db()
    assert clerk.check_password("changed by somebody")
