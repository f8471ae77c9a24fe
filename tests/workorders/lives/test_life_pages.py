"""Pages of lives and of what replacing costs."""

from datetime import timedelta
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import Conveyor, Plant
from tests.plant.factories import make_complete_conveyor
from tests.workorders.lives_rows import change_rolls
from workorders.models import ReplacementCosts

pytestmark = pytest.mark.django_db
COSTS = {
    "planned_cost": "165",
    "failure_cost": "600",
    "visit_cost": "900",
    "hours_each": "0.15",
    "free_stop_h": "8",
    "stop_cost_per_h": "1500",
}


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    row = make_complete_conveyor(plant, tag="Q30")
    today = timezone.now().date()
    group = row.components.get(name="C")
    group.fitted_on = today - timedelta(days=900)
    group.save()
    for number, age in enumerate((410, 520, 580, 640, 700, 730, 790, 800)):
        change_rolls(row, str(number + 1), on=today - timedelta(days=900 - age))
    return row


def at(name: str, conveyor: Conveyor, *more: object) -> str:
    return reverse(name, args=[conveyor.plant.code, conveyor.tag, *more])


def costs_of(conveyor: Conveyor, subject: str = "troughing_idlers") -> str:
    return reverse("life-costs", args=[conveyor.plant.code, subject])


def text_of(response: Any) -> str:
    return " ".join(response.content.decode().replace("\N{NO-BREAK SPACE}", " ").split())


def test_costs_lead_to_an_age_and_to_one_a_stretch_or_all(planner: Client, conveyor: Conveyor):
    page = at("life-of-conveyor", conveyor, "troughing_idlers")
    before = text_of(planner.get(page))
    assert "Nobody has said what replacing costs" in before

    planner.post(costs_of(conveyor), COSTS)

    after = text_of(planner.get(page))
    assert "At 165.00 for a planned replacement and 600.00 at a failure" in after
    assert "replace at" in after
    assert "one: each roll when it fails" in after
    assert after.count("cheapest</span>") == 1
    assert "its own failures" in after
    assert "From 165 a roll on a visit, 600 a roll at its failure, 900 a visit, 0.15 h" in after
    assert "<svg" in after


def test_lists_say_what_has_enough_failures(planner: Client, conveyor: Conveyor):
    listed = text_of(planner.get(reverse("lives")))

    assert "Q30: rolls of troughing idlers" in listed
    assert "8 failures in 188 lives" in listed
    assert "not enough failures yet" in listed
    of_belt = text_of(planner.get(at("lives-of-conveyor", conveyor)))
    assert at("life-of-conveyor", conveyor, "troughing_idlers") in of_belt


def test_a_group_by_itself_and_the_plant_have_their_pages(planner: Client, conveyor: Conveyor):
    group = conveyor.components.get(name="R")
    where = at("life-of-conveyor", conveyor, "return_idlers")
    text = text_of(planner.get(where, {"group": group.pk}))
    assert "Q30 R: rolls of return idlers" in text
    assert "No life is known" in text
    plant = reverse("life-of-plant", args=[conveyor.plant.code, "troughing_idlers"])
    assert "188 lives, 8 of them" in text_of(planner.get(plant))


def test_costs_are_changed_from_what_stood_and_removed_after_a_question(
    planner: Client, conveyor: Conveyor
):
    planner.post(costs_of(conveyor), COSTS)
    stale = planner.post(costs_of(conveyor), {**COSTS, "planned_cost": "170"})
    assert stale.status_code == HTTPStatus.CONFLICT

    planner.post(costs_of(conveyor), {**COSTS, "planned_cost": "170", "version": "1"})
    assert ReplacementCosts.objects.get().planned_cost == 170
    remove = reverse("life-costs-remove", args=[conveyor.plant.code, "troughing_idlers"])
    assert "Remove the costs of rolls of troughing idlers?" in text_of(planner.get(remove))
    planner.post(remove)
    assert not ReplacementCosts.objects.exists()


@pytest.mark.parametrize(
    "wrong", [{"planned_cost": "0"}, {"failure_cost": "much"}, {"visit_cost": "-1"}]
)
def test_costs_that_cannot_be_are_refused_at_their_field(
    planner: Client, conveyor: Conveyor, wrong: dict[str, str]
):
    response = planner.post(costs_of(conveyor), {**COSTS, **wrong})

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert list(response.context["form"].errors) == list(wrong)
    assert not ReplacementCosts.objects.exists()


def test_a_kind_nobody_knows_is_not_found(planner: Client, conveyor: Conveyor):
    for where in (at("life-of-conveyor", conveyor, "gearbox"), costs_of(conveyor, "gearbox")):
        assert planner.get(where).status_code == HTTPStatus.NOT_FOUND


def test_a_technician_reads_lives_and_keeps_no_costs(technician: Client, conveyor: Conveyor):
    assert technician.get(reverse("lives")).status_code == HTTPStatus.OK
    assert technician.get(costs_of(conveyor)).status_code == HTTPStatus.FORBIDDEN
