"""Pages of idler groups, of their sets and of the rolls changed in them."""

from datetime import UTC, date, datetime
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from plant.loop.idler_changes import TakeOut
from plant.loop.rolls import WhyChanged
from plant.models import Component, Conveyor, RollChange
from plant.roles import Role
from plant.selectors import idlers, rolls
from plant.services import keeping_idlers
from tests.plant.factories import make_complete_conveyor, make_person, make_plant, signed_in
from tests.plant.meter_rows import keep
from tests.plant.roll_rows import CENTRE, LEFT, RIGHT, TODAY, change

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor() -> Conveyor:
    return make_complete_conveyor(make_plant(), tag="Q30")


@pytest.fixture
def technician(conveyor: Conveyor) -> Client:
    return client_of(Role.TECHNICIAN, conveyor)


def client_of(role: Role, conveyor: Conveyor) -> Client:
    return signed_in(make_person(role, plants=[conveyor.plant]))


def address(conveyor: Conveyor, name: str, *more: object) -> str:
    return reverse(name, args=[conveyor.plant.code, conveyor.tag, *more])


def group(conveyor: Conveyor, name: str = "C") -> Component:
    return conveyor.components.get(name=name)


def read(client: Client, where: str, **asked: Any) -> str:
    response = client.get(where, asked)
    assert response.status_code == HTTPStatus.OK
    return response.content.decode()


FORM = {
    "sets": "40-42, 50",
    "rolls": ["left_wing", "right_wing"],
    "changed_on": "2026-03-10",
    "why": "noisy_bearing",
    "fitted": "133 mm",
}


def test_a_technician_writes_down_many_rolls_at_once(technician: Client, conveyor: Conveyor):
    where = address(conveyor, "roll-change-new", group(conveyor).pk)

    assert "left wing (walkway side)" in read(technician, where)
    response = technician.post(where, FORM)

    assert response["Location"] == address(conveyor, "roll-changes")
    text = read(technician, response["Location"])
    assert RollChange.objects.count() == 8
    assert "8 rolls" in text
    assert "C42" in text
    assert "right wing (sea side)" in text


def test_one_roll_of_one_set_leads_back_to_the_set(technician: Client, conveyor: Conveyor):
    where = address(conveyor, "roll-change-new", group(conveyor).pk)
    one_set = address(conveyor, "idler-set", group(conveyor).pk, 12)

    response = technician.post(where, {**FORM, "sets": "C12", "rolls": ["centre"]})

    assert response["Location"] == one_set
    text = read(technician, one_set)
    assert "Set C12 of Q30" in text
    assert "noisy bearing" in text


@pytest.mark.parametrize(
    ("typed", "status", "said"),
    [
        ({"sets": "99"}, 409, "no such set stands here"),
        ({"sets": ""}, 400, "This field is required"),
        ({"rolls": []}, 400, "This field is required"),
        ({"rolls": ["left_inner"]}, 400, "Select a valid choice"),
        ({"changed_on": "2999-01-01"}, 400, "between 1950 and 2199"),
        ({"changed_on": "2199-01-01"}, 409, "still to come"),
        ({"why": "bored"}, 400, "Select a valid choice"),
        ({"fitted": "\x00"}, 400, "Null characters"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field_and_nothing_is_kept(
    technician: Client, conveyor: Conveyor, typed, status, said
):
    where = address(conveyor, "roll-change-new", group(conveyor).pk)

    response = technician.post(where, {**FORM, **typed})

    assert response.status_code == status
    assert said in response.content.decode()
    assert not RollChange.objects.exists()


def test_the_age_of_rolls_is_told_in_days_and_running_hours(conveyor: Conveyor):
    Component.objects.filter(name="C").update(fitted_on=date(2026, 3, 1))
    keep(conveyor, 0, "0")
    keep(conveyor, 11, "110")
    change(conveyor, "12", LEFT, changed_on=date(2026, 3, 6))

    sheet = rolls.set_sheet(conveyor, group(conveyor), 12, datetime(2026, 3, 11, 12, tzinfo=UTC))

    # Ten hours a day by the meter: five days and a half since the change, ten and a half in all.
    left, centre, _right = sheet.rolls
    assert (left.words, left.days, left.exposure.hours) == ("left wing (walkway side)", 5, 55)
    assert (centre.words, centre.days, centre.exposure.hours) == ("centre roll", 10, 105)
    assert left.exposure.is_running


def test_running_hours_are_told_as_far_as_the_meter_was_read(
    technician: Client, conveyor: Conveyor
):
    keep(conveyor, 0, "0")
    keep(conveyor, 11, "110")
    change(conveyor, "12", LEFT, changed_on=date(2026, 3, 6))

    text = read(technician, address(conveyor, "idler-set", group(conveyor).pk, 12))

    # Six days of ten hours; nobody has read the meter since.
    assert '<span class="measured">60 h</span>' in text
    assert "2026-03-06 to 2026-03-12" in text


def test_an_age_nobody_knows_is_said_to_be_unknown(technician: Client, conveyor: Conveyor):
    change(conveyor, "12", LEFT)

    text = read(technician, address(conveyor, "idler-set", group(conveyor).pk, 12))

    rows = [row for row in text.split("<tr>") if '<th scope="row">' in row]
    assert "2026-03-10" in rows[0]
    assert "not known" in rows[1]


def test_the_address_on_a_label_leads_to_the_set_wherever_its_row_is(
    technician: Client, conveyor: Conveyor
):
    keeping_idlers.change_idlers(
        conveyor_id=conveyor.pk, change=TakeOut("C20"), stamp=idlers.stamp_of(conveyor), by=None
    )
    behind = conveyor.components.get(first_number=21)

    response = technician.get(address(conveyor, "idler-set-called", "c25"))

    assert response["Location"] == address(conveyor, "idler-set", behind.pk, 5)
    gone = technician.get(address(conveyor, "idler-set-called", "C20"))
    assert gone.status_code == HTTPStatus.NOT_FOUND


def test_sets_that_are_not_there_and_components_without_sets_are_no_pages(
    technician: Client, conveyor: Conveyor
):
    for where in (
        address(conveyor, "idler-set", group(conveyor).pk, 61),
        address(conveyor, "idler-set", group(conveyor).pk, 0),
        address(conveyor, "idler-group", group(conveyor, "Head pulley").pk),
    ):
        assert technician.get(where).status_code == HTTPStatus.NOT_FOUND


def test_the_list_is_narrowed_by_idlers_reason_and_days(technician: Client, conveyor: Conveyor):
    change(conveyor, "5")
    change(conveyor, "6", why=WhyChanged.SEIZED, changed_on=date(2026, 1, 2))
    change(conveyor, "3", CENTRE, of="R")
    where = address(conveyor, "roll-changes")

    def sets(**asked: Any) -> list[str]:
        text = read(technician, where, **asked)
        return [one for one in ("C5", "C6", "R3") if f">{one}<" in text]

    assert sets() == ["C5", "C6", "R3"]
    assert sets(of=group(conveyor, "R").pk) == ["R3"]
    assert sets(why="seized") == ["C6"]
    assert sets(since="2026-02-01") == ["C5", "R3"]
    assert sets(until="2026-02-01") == ["C6"]
    # What cannot be understood narrows nothing.
    assert sets(of="x", why="bored", since="soon") == ["C5", "C6", "R3"]


def test_own_changes_are_taken_back_and_put_back_those_of_others_are_not(conveyor: Conveyor):
    fitter = make_person(Role.TECHNICIAN, plants=[conveyor.plant])
    mine = change(conveyor, "5-6", LEFT, RIGHT, by=fitter)
    others = change(conveyor, "9")[0]
    client = signed_in(fitter)
    where = address(conveyor, "roll-change-take-back", mine[0].pk)

    assert "3 others written down with it" in read(client, where)
    client.post(where, {"all": "1"})

    assert RollChange.objects.get(undone_at__isnull=True) == others
    text = read(client, address(conveyor, "roll-changes"), undone="on")
    assert text.count("Put back<") == 4
    client.post(address(conveyor, "roll-change-put-back", mine[1].pk))
    assert RollChange.objects.filter(undone_at__isnull=True).count() == 2
    theirs = address(conveyor, "roll-change-take-back", others.pk)
    assert client.post(theirs).status_code == HTTPStatus.FORBIDDEN
    assert client_of(Role.PLANNER, conveyor).post(theirs).status_code == HTTPStatus.FOUND


def test_a_clerk_reads_and_writes_nothing_down(conveyor: Conveyor):
    clerk = client_of(Role.CLERK, conveyor)

    text = read(clerk, address(conveyor, "idler-group", group(conveyor).pk))

    assert "Write down changed rolls" not in text
    where = address(conveyor, "roll-change-new", group(conveyor).pk)
    assert clerk.post(where, FORM).status_code == HTTPStatus.FORBIDDEN


def test_long_lists_and_groups_are_paged_at_the_same_cost(
    technician: Client, conveyor: Conveyor, django_assert_num_queries
):
    change(conveyor, "1")
    where = [
        address(conveyor, "roll-changes"),
        address(conveyor, "idler-group", group(conveyor).pk),
        address(conveyor, "idler-set", group(conveyor).pk, 1),
    ]
    costs = []
    for one in where:
        technician.get(one)
        with django_assert_num_queries(30, exact=False) as asked:
            technician.get(one)
        costs.append(len(asked))
    change(conveyor, "2-60", LEFT, CENTRE, RIGHT)
    for month in range(1, 3):
        change(conveyor, "1", changed_on=date(2026, month, 1))

    for one, cost in zip(where, costs, strict=True):
        with django_assert_num_queries(cost):
            technician.get(one)
    assert "Page 1 of 5" in read(technician, where[0])
    assert TODAY.isoformat() in read(technician, where[1])
