"""The pages of a conveyor's meter readings."""

from http import HTTPStatus

import pytest
from django.test import Client

from plant.metering.readings import MeterQuantity, WentOn
from plant.models import Conveyor, MeterReading, Plant
from plant.roles import Role
from tests.plant.factories import make_person, make_plant, signed_in
from tests.plant.meter_rows import keep
from tests.plant.register_site import address, client_of, quay_belt

pytestmark = pytest.mark.django_db
FORM = {
    "quantity": "running_hours",
    "read_at": "2026-03-01T08:00",
    "reading": "12345.5",
    "went_on": "usual",
    "read_by": "Ruan Fairlie",
}


@pytest.fixture
def plant() -> Plant:
    return make_plant(time_zone="Africa/Johannesburg")


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return quay_belt(plant)


@pytest.fixture
def planner(plant: Plant) -> Client:
    return client_of(Role.PLANNER, plant)


def read(client: Client, where: str, **asked: str) -> str:
    return client.get(where, asked).content.decode().replace("\N{NO-BREAK SPACE}", " ")


def test_a_reading_is_kept_in_the_plants_time_and_shown(planner: Client, conveyor: Conveyor):
    response = planner.post(address(conveyor, "meter-reading-new"), FORM)

    assert response.status_code == HTTPStatus.FOUND
    kept = MeterReading.objects.get()
    assert kept.read_at.isoformat() == "2026-03-01T06:00:00+00:00"
    text = read(planner, response["Location"])
    assert "2026-03-01 08:00 SAST" in text
    assert "12,345.5 h" in text
    assert "Ruan Fairlie" in text
    assert "12,345.5 h" in read(planner, address(conveyor))


def test_what_came_in_between_stands_beside_each_reading(planner: Client, conveyor: Conveyor):
    keep(conveyor, 0, "99990")
    keep(conveyor, 2, "26", went_on=WentOn.ROLLED_OVER, digits=5)
    keep(conveyor, 3, None, went_on=WentOn.REPLACED, new_meter_first="7")

    text = read(planner, address(conveyor, "meters"))

    assert "rolled over, 5 digits" in text
    # 36 h in two days.
    assert ">36 h<" in text
    assert "18.0 h" in text
    assert "the new one began at 7 h" in text
    assert "not read" in text


def test_more_tonnes_than_the_capacity_are_asked_about(planner: Client, conveyor: Conveyor):
    Conveyor.objects.filter(pk=conveyor.pk).update(capacity_tph=1000)
    for day, figure in ((0, "0"), (1, "24000"), (2, "48001")):
        keep(conveyor, day, figure, quantity=MeterQuantity.TONNES)

    text = read(planner, address(conveyor, "meters"), meter="tonnes")

    assert text.count("more than its capacity") == 1


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"reading": ""}, "only a replaced meter may have gone unread"),
        ({"reading": "-1"}, "greater than or equal to 0"),
        ({"reading": "NaN"}, "Enter a number"),
        ({"reading": "1e400"}, "Ensure that there are no more than"),
        ({"reading": "9" * 10_000}, "Ensure that there are no more than"),
        ({"reading": "12\x00"}, "Enter a number"),
        ({"note": "a\x00b"}, "Null characters are not allowed"),
        ({"note": "n" * 10_000}, "at most 200 characters"),
        ({"read_by": "<b>" * 4000}, "at most 80 characters"),
        ({"read_at": "yesterday"}, "Enter a valid date/time"),
        ({"read_at": "0001-01-01T00:00"}, "between 1950 and 2199"),
        ({"quantity": "passengers"}, "Select a valid choice"),
        ({"went_on": "sideways"}, "Select a valid choice"),
        ({"went_on": "rolled_over"}, "how many whole digits"),
        ({"went_on": "rolled_over", "digits": "99999999999"}, "less than or equal to 9"),
        ({"went_on": "replaced"}, "what the new meter showed"),
        ({"digits": "5"}, "Say that the meter rolled over, or leave this empty"),
    ],
)
def test_what_cannot_be_comes_back_as_typed_with_the_reason(planner, conveyor, changed, said):
    response = planner.post(address(conveyor, "meter-reading-new"), {**FORM, **changed})

    text = response.content.decode()
    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert said in text
    assert "<b><b>" not in text
    assert not MeterReading.objects.exists()


def test_an_implausible_reading_is_refused_on_its_field(planner: Client, conveyor: Conveyor):
    keep(conveyor, -30, "20000")

    response = planner.post(address(conveyor, "meter-reading-new"), FORM)

    assert response.status_code == HTTPStatus.CONFLICT
    assert "backwards" in response.content.decode()
    assert 'value="12345.5"' in response.content.decode()


def test_a_reading_is_taken_back_after_a_question(planner: Client, conveyor: Conveyor):
    row = keep(conveyor, 0, "5")
    where = address(conveyor, "meter-reading-remove", row.pk)

    assert "Take it back" in read(planner, where)
    assert MeterReading.objects.exists()
    assert planner.post(where).status_code == HTTPStatus.FOUND
    assert not MeterReading.objects.exists()


def test_a_clerk_reads_only(plant: Plant, conveyor: Conveyor):
    row = keep(conveyor, 0, "5")
    client = client_of(Role.CLERK, plant)

    assert "Add a reading" not in read(client, address(conveyor, "meters"))
    for where in ("meter-reading-new", "meter-reading-remove"):
        more = [row.pk] if where.endswith("remove") else []
        response = client.post(address(conveyor, where, *more), FORM)
        assert response.status_code == HTTPStatus.FORBIDDEN
    assert MeterReading.objects.count() == 1


def test_a_technician_adds_readings_and_takes_back_none_but_their_own(
    plant: Plant, conveyor: Conveyor
):
    others = keep(conveyor, 0, "12345")
    technician = client_of(Role.TECHNICIAN, plant)

    assert technician.post(address(conveyor, "meter-reading-new"), FORM).status_code == 302

    own = MeterReading.objects.exclude(pk=others.pk).get()
    text = read(technician, address(conveyor, "meters"))
    assert address(conveyor, "meter-reading-remove", own.pk) in text
    assert address(conveyor, "meter-reading-remove", others.pk) not in text
    theirs = technician.post(address(conveyor, "meter-reading-remove", others.pk))
    assert theirs.status_code == HTTPStatus.FORBIDDEN
    assert technician.post(address(conveyor, "meter-reading-remove", own.pk)).status_code == 302
    assert MeterReading.objects.get() == others


def test_readings_of_another_conveyor_or_plant_are_not_there(planner: Client, conveyor: Conveyor):
    other = quay_belt(make_plant())
    theirs = keep(other, 0, "5")

    for where in (
        address(other, "meters"),
        address(other, "meter-reading-new"),
        address(conveyor, "meter-reading-remove", theirs.pk),
    ):
        assert planner.post(where).status_code in {HTTPStatus.NOT_FOUND, 405}
    assert MeterReading.objects.count() == 1


@pytest.mark.parametrize("asked", ["", "passengers", "x" * 10_000, "a\x00"])
def test_an_unknown_meter_is_the_one_for_running_hours(planner, conveyor, asked):
    text = read(planner, address(conveyor, "meters"), meter=asked, page=asked)

    assert "No reading of this meter is kept" in text


def test_long_lists_are_paged_at_the_same_cost(
    planner: Client, conveyor: Conveyor, django_assert_num_queries
):
    keep(conveyor, 0, "0")
    where = address(conveyor, "meters")
    planner.get(where)
    with django_assert_num_queries(9) as one:
        planner.get(where)
    for number in range(1, 60):
        keep(conveyor, number, str(number * 10))

    with django_assert_num_queries(len(one)):
        text = read(planner, where, page="2")
    assert "Page 2 of 3" in text
    # The last row of a page is counted from the first of the next.
    assert text.count(">10 h<") == 25


def test_a_person_of_several_roles_and_no_plant_sees_nothing(conveyor: Conveyor):
    nobody = signed_in(make_person(Role.PLANNER, Role.LEAD, plants=[]))

    assert nobody.get(address(conveyor, "meters")).status_code == HTTPStatus.NOT_FOUND
