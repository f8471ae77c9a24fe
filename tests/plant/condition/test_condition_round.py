"""A round of readings on a phone, one place after the other."""

from http import HTTPStatus

import pytest
from django.test import Client

from plant.models import ConditionReading, Conveyor
from plant.roles import Role
from tests.plant.condition_rows import read
from tests.plant.factories import make_complete_conveyor, make_plant
from tests.plant.register_site import address, client_of

pytestmark = pytest.mark.django_db
LAGGING = {"quantity": "lagging_thickness"}


@pytest.fixture
def conveyor() -> Conveyor:
    return make_complete_conveyor(make_plant(), tag="Q30")


@pytest.fixture
def technician(conveyor: Conveyor) -> Client:
    return client_of(Role.TECHNICIAN, conveyor.plant)


def test_a_round_goes_past_the_pulleys_in_the_order_of_the_belt(technician, conveyor):
    text = technician.get(address(conveyor, "condition-round"), LAGGING).content.decode()

    assert "5 places" in text
    assert "Head pulley, Bend 1, Take-up, Bend 2, Tail pulley" in text
    assert "locked out" in text


def test_figures_of_a_stop_are_kept_and_the_next_one_is_shown(technician, conveyor):
    read(conveyor, "Head pulley", 9.0, spot="middle")
    where = address(conveyor, "condition-round-stop", 1) + "?quantity=lagging_thickness"
    text = technician.get(where).content.decode()
    assert "left (walkway side) [mm]" in text
    assert "9\N{NO-BREAK SPACE}mm" in text

    response = technician.post(where, {"value_0": "8,5", "value_2": "8.1"})

    kept = ConditionReading.objects.filter(value__lt=9).order_by("value")
    assert [(one.value, one.spot) for one in kept] == [(8.1, "right"), (8.5, "left")]
    assert response["Location"].startswith(address(conveyor, "condition-round-stop", 2))
    assert "Bend 1" in technician.get(response["Location"]).content.decode()


def test_the_end_tells_how_many_readings_were_kept(technician, conveyor):
    where = address(conveyor, "condition-round-stop", 5) + "?quantity=lagging_thickness&kept=3"

    response = technician.post(where, {"value_0": "8"}, follow=True)

    assert "4 readings kept" in response.content.decode()


def test_rolls_of_chosen_sets_are_read_one_by_one(technician, conveyor):
    asked = {"quantity": "roll_shell_thickness", "sets": "C3-C5, R2"}
    text = technician.get(address(conveyor, "condition-round"), asked).content.decode()
    assert "C3, C4, C5, R2" in text

    where = address(conveyor, "condition-round-stop", 2)
    technician.post(f"{where}?quantity=roll_shell_thickness&sets=C3-C5", {"value_1": "4.2"})

    row = ConditionReading.objects.get()
    assert (row.component.name, row.set_number, row.spot) == ("C", 4, "centre roll")


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"quantity": "roll_shell_thickness", "sets": "C99"}, "no such set"),
        ({"quantity": "roll_shell_thickness"}, "name idler sets"),
        ({"quantity": "smell"}, "Select a valid choice"),
    ],
)
def test_a_round_past_nothing_is_refused_in_words(technician, conveyor, asked, said):
    response = technician.get(address(conveyor, "condition-round"), asked)

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert said in response.content.decode()


def test_a_stop_without_a_figure_asks_for_one_and_keeps_what_was_typed(technician, conveyor):
    where = address(conveyor, "condition-round-stop", 1) + "?quantity=lagging_thickness"

    nothing = technician.post(where, {"note": "lagging torn"})
    wrong = technician.post(where, {"value_0": "thin", "value_1": "-3"})
    impossible = technician.post(where, {"value_1": "-3"})

    assert nothing.status_code == HTTPStatus.BAD_REQUEST
    assert "go on without one" in nothing.content.decode()
    assert "lagging torn" in nothing.content.decode()
    assert wrong.status_code == HTTPStatus.BAD_REQUEST
    assert impossible.status_code == HTTPStatus.CONFLICT
    assert not ConditionReading.objects.exists()


def test_an_address_of_no_round_leads_to_its_beginning(technician, conveyor):
    for query in ("", "?quantity=smell", "?quantity=roll_shell_thickness&sets=C99"):
        response = technician.get(address(conveyor, "condition-round-stop", 1) + query)
        assert response["Location"] == address(conveyor, "condition-round") + query
