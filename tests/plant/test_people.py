"""People, as administrators keep them: added, changed, out of use and back."""

import threading

import pytest
from django.contrib.auth.models import Group
from django.db import connection
from django.urls import reverse

from plant import access
from plant.errors import DomainError
from plant.models import Plant, User
from plant.roles import Role
from plant.services import people
from tests.plant.factories import make_person, make_plant, signed_in
from tests.plant.people_typed import typed, wanted

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return make_plant(name="Larkwater Terminal")


@pytest.fixture
def other_plant() -> Plant:
    return make_plant(name="Fennel Quarry")


@pytest.fixture
def admin(plant: Plant) -> User:
    return make_person(Role.ADMINISTRATOR, plants=[plant])


@pytest.fixture
def clerk(plant: Plant) -> User:
    return make_person(Role.CLERK, plants=[plant], display_name="Odile Brannock")


@pytest.fixture
def of_both(plant: Plant, other_plant: Plant) -> User:
    return make_person(Role.LEAD, plants=[plant, other_plant])


def test_a_person_is_added_and_their_password_shown_once(admin: User, plant: Plant):
    response = signed_in(admin).post(reverse("person-new"), typed(plants=[plant.pk]))

    person = User.objects.get(username="new@larkwater.example")
    password = response.context["password"]
    assert response.status_code == 201
    assert "no-store" in response["Cache-Control"]
    assert person.check_password(password)
    assert person.must_change_password
    assert access.roles_of(person) == [Role.TECHNICIAN]
    assert list(person.plants.all()) == [plant]


def test_a_name_that_is_an_address_is_the_address_too(admin: User, plant: Plant):
    signed_in(admin).post(
        reverse("person-new"),
        typed(username="Ines@Larkwater.example", email="", plants=[plant.pk]),
    )

    assert User.objects.get(username="ines@larkwater.example").email == "ines@larkwater.example"


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"username": ""}, "username"),
        ({"username": "a b"}, "username"),
        ({"username": "x" * 151}, "username"),
        ({"username": "a\x00b"}, "username"),
        ({"display_name": ""}, "display_name"),
        ({"email": "no address"}, "email"),
        ({"roles": []}, "roles"),
        ({"roles": ["emperor"]}, "roles"),
        ({"plants": ["999999"]}, "plants"),
        ({"plants": ["x"]}, "plants"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field_and_kept(
    admin: User, plant: Plant, changes: dict[str, object], field: str
):
    before = User.objects.count()
    body = typed(**{"plants": [plant.pk], "email": "kept@larkwater.example", **changes})

    response = signed_in(admin).post(reverse("person-new"), body)

    assert response.status_code == 400
    assert field in response.context["form"].errors
    assert User.objects.count() == before
    if "email" not in changes:
        assert 'value="kept@larkwater.example"' in response.content.decode()


def test_a_taken_name_is_refused_whatever_its_case(admin: User, plant: Plant, clerk: User):
    body = typed(username=clerk.username.upper(), plants=[plant.pk])

    response = signed_in(admin).post(reverse("person-new"), body)

    assert response.status_code == 409
    assert "signs in with this name already" in str(response.context["form"].errors["username"])


def test_a_new_person_needs_a_plant(admin: User):
    response = signed_in(admin).post(reverse("person-new"), typed(plants=[]))

    assert response.status_code == 409
    assert "at least one plant" in str(response.context["form"].errors["plants"])


def test_only_plants_of_ones_own_are_given(admin: User, other_plant: Plant):
    form = signed_in(admin).post(reverse("person-new"), typed(plants=[other_plant.pk]))

    assert form.status_code == 400
    with pytest.raises(people.PlantNotYours):
        people.add_person(wanted=wanted(plants=frozenset({other_plant})), by=admin)


def test_roles_and_plants_are_changed(admin: User, clerk: User):
    response = signed_in(admin).post(
        reverse("person", args=[clerk.pk]), typed(clerk, roles=["planner", "reliability lead"])
    )

    assert response["Location"] == reverse("people")
    assert access.roles_of(User.objects.get(pk=clerk.pk)) == [Role.PLANNER, Role.LEAD]


def test_a_group_that_is_no_role_stays(admin: User, clerk: User):
    clerk.groups.add(Group.objects.create(name="night shift"))

    people.change_person(
        person_id=clerk.pk, wanted=wanted(clerk, roles=frozenset({Role.LEAD})), by=admin
    )

    assert clerk.groups.filter(name="night shift").exists()


def test_ones_own_administrator_role_stays(admin: User):
    response = signed_in(admin).post(
        reverse("person", args=[admin.pk]), typed(admin, display_name="Maren", roles=["planner"])
    )

    assert response.status_code == 409
    assert "cannot take the administrator" in str(response.context["form"].errors["roles"])
    assert access.roles_of(User.objects.get(pk=admin.pk)) == [Role.ADMINISTRATOR]


def test_the_last_plant_is_not_taken_away(admin: User, clerk: User):
    response = signed_in(admin).post(reverse("person", args=[clerk.pk]), typed(clerk, plants=[]))

    assert response.status_code == 409
    assert clerk.plants.count() == 1


def test_of_somebody_at_two_plants_only_the_own_plant_is_taken_away(
    admin: User, of_both: User, other_plant: Plant
):
    response = signed_in(admin).post(
        reverse("person", args=[of_both.pk]), {"plants": [], "roles": ["administrator"]}
    )

    assert response.status_code == 302
    assert list(of_both.plants.all()) == [other_plant]
    assert access.roles_of(User.objects.get(pk=of_both.pk)) == [Role.LEAD]


@pytest.mark.parametrize(
    "changes",
    [
        {"roles": frozenset({Role.ADMINISTRATOR})},
        {"email": "mine@larkwater.example"},
        {"username": "other@larkwater.example"},
    ],
)
def test_of_somebody_at_two_plants_nothing_else_is_changed(
    admin: User, of_both: User, plant: Plant, changes: dict[str, object]
):
    asked = wanted(of_both, plants=frozenset({plant}), **changes)

    with pytest.raises(people.PersonOutOfReach):
        people.change_person(person_id=of_both.pk, wanted=asked, by=admin)


def test_an_administrator_of_both_plants_changes_them(
    plant: Plant, other_plant: Plant, of_both: User
):
    of_all = make_person(Role.ADMINISTRATOR, plants=[plant, other_plant])

    people.change_person(
        person_id=of_both.pk, wanted=wanted(of_both, display_name="Corwin"), by=of_all
    )

    assert User.objects.get(pk=of_both.pk).display_name == "Corwin"


def test_a_person_is_put_out_of_use_after_asking_and_taken_back(admin: User, clerk: User):
    client, inside = signed_in(admin), signed_in(clerk)
    out, back = (
        reverse("person-out-of-use", args=[clerk.pk]),
        reverse("person-back", args=[clerk.pk]),
    )
    assert "out of use?" in client.get(out).content.decode()
    assert inside.get(reverse("today")).status_code == 200

    client.post(out)
    assert inside.get(reverse("today")).status_code == 302

    client.post(back)
    assert User.objects.get(pk=clerk.pk).is_active


@pytest.mark.parametrize("name", ["person-out-of-use", "person-password"])
def test_ones_own_account_is_for_another_administrator(admin: User, name: str):
    response = signed_in(admin).post(reverse(name, args=[admin.pk]))

    assert response.status_code == 409
    assert "your own account" in response.content.decode()
    admin.refresh_from_db()
    assert admin.is_active


@pytest.mark.parametrize("name", ["person-out-of-use", "person-back", "person-password"])
def test_somebody_of_another_plant_as_well_is_out_of_reach(admin: User, of_both: User, name: str):
    response = signed_in(admin).post(reverse(name, args=[of_both.pk]))

    assert response.status_code == 409
    assert "plants that are not yours" in response.content.decode()


def test_the_superuser_is_out_of_an_administrators_reach(admin: User, plant: Plant):
    superuser = make_person(plants=[plant], is_superuser=True)

    with pytest.raises(people.PersonOutOfReach):
        people.reset_password(person_id=superuser.pk, by=admin)


def test_a_one_time_password_is_shown_once_and_not_kept(admin: User, clerk: User):
    response = signed_in(admin).post(reverse("person-password", args=[clerk.pk]))

    clerk.refresh_from_db()
    assert clerk.check_password(response.context["password"])
    assert clerk.must_change_password
    assert "no-store" in response["Cache-Control"]


def test_the_first_administrator_of_an_empty_server_can_do_everything():
    superuser = User.objects.create_superuser("root@larkwater.example", password="a-long-one-7")
    client = signed_in(superuser)
    assert "There is no plant yet" in client.get(reverse("today")).content.decode()
    client.post(
        reverse("plant-new"),
        {
            "code": "LT",
            "name": "Larkwater",
            "time_zone": "America/Halifax",
            "recurrence_window_days": "180",
            "recurrence_distance_m": "15",
        },
    )
    plant = Plant.objects.get(code="LT")

    response = client.post(reverse("person-new"), typed(roles=["administrator"], plants=[plant.pk]))

    assert response.status_code == 201
    added = User.objects.get(username="new@larkwater.example")
    assert access.may_handle(superuser, added)


@pytest.mark.django_db(transaction=True)
def test_of_two_who_take_the_role_from_each_other_one_stays_administrator():
    plant = make_plant()
    one = make_person(Role.ADMINISTRATOR, plants=[plant])
    other = make_person(Role.ADMINISTRATOR, plants=[plant])
    start = threading.Barrier(2)
    refusals: list[DomainError] = []

    def take(by: User, person: User) -> None:
        asked = wanted(person, roles=frozenset({Role.CLERK}))
        start.wait(timeout=60)
        try:
            people.change_person(person_id=person.pk, wanted=asked, by=by)
        except DomainError as refusal:
            refusals.append(refusal)
        finally:
            connection.close()

    threads = [threading.Thread(target=take, args=pair) for pair in ((one, other), (other, one))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=20)

    assert [refusal.code for refusal in refusals] == ["administrator_no_more"]
    assert User.objects.filter(groups__name=Role.ADMINISTRATOR).count() == 1
