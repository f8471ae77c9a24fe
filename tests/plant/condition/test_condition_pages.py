"""Pages of condition readings: the list and what it asks, entering, correcting, taking back."""

from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client

from plant.loop.condition import Quantity
from plant.models import Component, ConditionReading, Conveyor
from plant.roles import Role
from plant.services import reading_condition
from tests.plant import roll_rows
from tests.plant.condition_rows import START, read
from tests.plant.factories import make_complete_conveyor, make_person, make_plant, signed_in
from tests.plant.register_site import address, client_of

pytestmark = pytest.mark.django_db
SHELL = Quantity.ROLL_SHELL_THICKNESS


@pytest.fixture
def conveyor() -> Conveyor:
    return make_complete_conveyor(make_plant(time_zone="Africa/Johannesburg"), tag="Q30")


@pytest.fixture
def technician(conveyor: Conveyor) -> Client:
    return client_of(Role.TECHNICIAN, conveyor.plant)


def text_of(client: Client, where: str, **asked: Any) -> str:
    response = client.get(where, asked)
    assert response.status_code == HTTPStatus.OK
    return " ".join(response.content.decode().replace("\N{NO-BREAK SPACE}", " ").split())


def form(conveyor: Conveyor, of: str = "Head pulley", **more: str) -> dict[str, Any]:
    component = conveyor.components.get(name=of).pk if of else ""
    return {
        "quantity": "lagging_thickness",
        "component": component,
        "value": "9,5",
        "spot": "middle",
        "taken_at": "2026-03-01T10:00",
        "taken_by": "Ruan Fairlie",
        **more,
    }


def test_a_reading_is_kept_in_the_plants_time_with_a_decimal_comma(technician, conveyor):
    response = technician.post(address(conveyor, "condition-new"), form(conveyor))

    assert response["Location"] == address(conveyor, "conditions")
    row = ConditionReading.objects.get()
    assert (row.value, row.taken_at) == (9.5, START)
    text = text_of(technician, address(conveyor, "conditions"))
    assert "Head pulley, middle" in text
    assert "9.5 mm" in text


def test_a_set_is_named_as_people_call_it(technician, conveyor):
    given = form(conveyor, "C", quantity=SHELL.value, set="12", spot="left wing", value="4")

    technician.post(address(conveyor, "condition-new"), given)

    assert ConditionReading.objects.get().set_number == 12
    assert "C12, left wing" in text_of(technician, address(conveyor, "conditions"))


def test_a_reading_of_the_belt_is_of_the_one_that_is_on(technician, conveyor):
    given = form(conveyor, "", quantity="carry_cover_thickness", value="5.5")

    technician.post(address(conveyor, "condition-new"), given)

    assert ConditionReading.objects.get().belt == conveyor.belts.get()


@pytest.mark.parametrize(
    ("typed", "status", "said"),
    [
        ({"value": "-1"}, 409, "less than nothing"),
        ({"value": "nan"}, 400, "Enter a number"),
        ({"value": "1e9"}, 400, "less than or equal to"),
        ({"value": ""}, 400, "required"),
        ({"taken_at": "2999-01-01T00:00"}, 400, "between 1950 and 2199"),
        ({"taken_at": "2150-01-01T00:00"}, 409, "still to come"),
        ({"component": ""}, 409, "which component"),
        ({"quantity": "pulley_cover_thickness"}, 409, "leave the component empty"),
        ({"quantity": "smell"}, 400, "Select a valid choice"),
        ({"set": "C99"}, 409, "no such set"),
        ({"set": "C1-C3"}, 409, "Name one set"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_kept(technician, conveyor, typed, status, said):
    response = technician.post(address(conveyor, "condition-new"), form(conveyor, **typed))

    assert response.status_code == status
    assert said in response.content.decode()
    assert not ConditionReading.objects.exists()


def test_the_same_reading_sent_again_is_one_and_another_figure_is_refused(technician, conveyor):
    where = address(conveyor, "condition-new")
    for _again in range(2):
        assert technician.post(where, form(conveyor)).status_code == HTTPStatus.FOUND

    other = technician.post(where, form(conveyor, value="8"))

    assert other.status_code == HTTPStatus.CONFLICT
    assert ConditionReading.objects.get().value == 9.5


def test_an_unlikely_reading_is_kept_asked_about_and_may_be_found_right(conveyor):
    fitter = make_person(Role.TECHNICIAN, plants=[conveyor.plant])
    client = signed_in(fitter)
    read(conveyor, "Head pulley", 7.0, day=-5, spot="middle")

    response = client.post(address(conveyor, "condition-new"), form(conveyor), follow=True)

    assert "Thicker than the reading before" in response.content.decode()
    row = ConditionReading.objects.get(value=9.5)
    client.post(address(conveyor, "condition-right", row.pk))
    assert "Thicker than" not in text_of(client, address(conveyor, "conditions"))
    client.post(address(conveyor, "condition-right", row.pk), {"again": "1"})
    assert "Thicker than" in text_of(client, address(conveyor, "conditions"))


def test_a_reading_taken_back_while_the_list_was_open_is_told(conveyor, monkeypatch):
    row = read(conveyor, "Head pulley", 7.0, spot="middle")
    judge = reading_condition.judge_condition

    def judge_late(**asked: Any) -> None:
        ConditionReading.objects.all().delete()
        judge(**asked)

    monkeypatch.setattr(reading_condition, "judge_condition", judge_late)
    planner = client_of(Role.PLANNER, conveyor.plant)
    response = planner.post(address(conveyor, "condition-right", row.pk), follow=True)

    assert response.status_code == HTTPStatus.OK
    assert "Somebody removed this" in response.content.decode()


def test_a_thicker_shell_is_no_surprise_when_the_roll_was_changed(technician, conveyor):
    for number in (5, 6):
        read(conveyor, "C", 3.0, quantity=SHELL, set_number=number)
        read(conveyor, "C", 5.0, quantity=SHELL, set_number=number, day=20)
    roll_rows.change(conveyor, "5")

    text = text_of(technician, address(conveyor, "conditions"))

    asked = text.split('<tr class="doubted">')[1:]
    assert len(asked) == 1
    assert asked[0].index("C6") < asked[0].index("Thicker than")


def test_a_new_pulley_may_have_thicker_lagging(technician, conveyor):
    read(conveyor, "Head pulley", 3.0)
    read(conveyor, "Head pulley", 12.0, day=20)
    Component.objects.filter(name="Head pulley").update(fitted_on=START.date().replace(day=9))

    assert "Thicker than" not in text_of(technician, address(conveyor, "conditions"))


def test_keepers_correct_all_and_technicians_their_own(technician, conveyor):
    row = read(conveyor, "Head pulley", 90.0)
    where = address(conveyor, "condition-correct", row.pk)
    given = {"value": "9", "taken_at": "2026-03-01T10:00", "spot": "left", "version": "1"}

    assert technician.post(where, given).status_code == HTTPStatus.FORBIDDEN
    planner = client_of(Role.PLANNER, conveyor.plant)
    assert planner.post(where, given).status_code == HTTPStatus.FOUND
    row.refresh_from_db()
    assert (row.value, row.spot) == (9.0, "left")
    # The form was opened before somebody else corrected it.
    stale = planner.post(where, {**given, "value": "8"})
    assert stale.status_code == HTTPStatus.CONFLICT
    history = text_of(technician, address(conveyor, "condition-history"))
    assert "lagging thickness" in history


def test_a_reading_is_taken_back_after_a_question_and_stays_in_the_history(conveyor):
    row = read(conveyor, "Head pulley", 9.0)
    planner = client_of(Role.PLANNER, conveyor.plant)
    where = address(conveyor, "condition-take-back", row.pk)

    assert "The history keeps it" in text_of(planner, where)
    planner.post(where)

    assert not ConditionReading.objects.exists()
    assert "was removed" in text_of(planner, address(conveyor, "condition-history"))


def test_one_quantity_of_one_component_is_drawn_over_time(technician, conveyor):
    where = address(conveyor, "conditions")
    head = conveyor.components.get(name="Head pulley")
    for day in range(3):
        for spot in ("left", "right"):
            read(conveyor, "Head pulley", 9.0 - day, day=day, spot=spot)
    read(conveyor, "Tail pulley", 5.0)

    assert "<figure" not in text_of(technician, where)
    drawn = text_of(technician, where, quantity="lagging_thickness", of=head.pk)

    assert "Over time" in drawn
    assert 'class="chart wide"' in drawn
    assert "B Head pulley" in drawn
    taken = technician.get(
        where, {"quantity": "lagging_thickness", "of": head.pk, "table": "over-time"}
    )
    assert taken.content.decode().count("Head pulley") == 6
    assert drawn.count("9 mm<") == 2
    assert "5 mm<" not in drawn


def test_the_list_is_narrowed_and_odd_filters_narrow_nothing(technician, conveyor):
    read(conveyor, "Head pulley", 9.0)
    read(conveyor, "", 5.0, quantity=Quantity.CARRY_COVER_THICKNESS)
    where = address(conveyor, "conditions")

    def found(**asked: Any) -> list[str]:
        body = text_of(technician, where, **asked).split("<tbody>")[-1]
        return [one for one in ("lagging thickness", "carry cover thickness") if one in body]

    assert found(of="belt") == ["carry cover thickness"]
    assert found(quantity="lagging_thickness") == ["lagging thickness"]
    assert len(found(of="9" * 30, quantity="smell", page="last one")) == 2


def test_a_clerk_reads_only(conveyor):
    row = read(conveyor, "Head pulley", 9.0)
    clerk = client_of(Role.CLERK, conveyor.plant)

    assert "Go on a round" not in text_of(clerk, address(conveyor, "conditions"))
    for name, more in (
        ("condition-new", []),
        ("condition-correct", [row.pk]),
        ("condition-right", [row.pk]),
        ("condition-take-back", [row.pk]),
    ):
        response = clerk.post(address(conveyor, name, *more), form(conveyor))
        assert response.status_code == HTTPStatus.FORBIDDEN


def test_long_lists_are_paged_at_the_same_cost(technician, conveyor, django_assert_num_queries):
    where = address(conveyor, "conditions")
    read(conveyor, "C", 9.0, quantity=SHELL, set_number=1)
    technician.get(where)
    with django_assert_num_queries(14, exact=False) as few:
        technician.get(where)
    for number in range(2, 61):
        read(conveyor, "C", 9.0, quantity=SHELL, set_number=number, spot="left wing")

    with django_assert_num_queries(len(few)):
        text = text_of(technician, where)
    assert "Page 1 of 2" in text


def test_a_conveyor_and_a_component_show_what_was_read_last_and_lead_on(technician, conveyor):
    read(conveyor, "Head pulley", 9.0, spot="middle")
    head = conveyor.components.get(name="Head pulley")

    for where in (address(conveyor), address(conveyor, "component", head.pk)):
        text = text_of(technician, where)
        assert "lagging thickness, Head pulley, middle" in text
        assert f'href="{address(conveyor, "condition-new")}' in text
    assert f'<a class="button quiet" href="{address(conveyor, "condition-round")}">' in text_of(
        technician, address(conveyor)
    )
