"""Campaigns: kept, changed and removed, by whom, and what the pages make of them."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from plant.models import Conveyor, Plant
from plant.roles import Role
from tests.plant.factories import signed_in
from tests.workorders import factories
from tests.workorders.campaign_rows import DAY, make_campaign
from workorders.models import Campaign

FILLED = {
    "name": "Return idlers squared",
    "began_on": "2026-05-04",
    "ended_on": "2026-05-05",
    "chosen": "worst",
    "family": "return_idler",
}


@pytest.fixture
def plant(db: None) -> Plant:
    return factories.make_plant(code="LT")


@pytest.fixture
def belt(plant: Plant) -> Conveyor:
    return factories.make_conveyor(plant, tag="Q30", area="Quay")


@pytest.fixture
def planner(plant: Plant) -> Client:
    return signed_in(factories.make_person(Role.PLANNER, plant))


def keep(client: Client, **fields: Any) -> Any:
    return client.post(reverse("campaign-new", args=["LT"]), {**FILLED, **fields})


def test_a_campaign_is_kept_with_its_belts(planner: Client, belt: Conveyor):
    answer = keep(planner, conveyors=[belt.pk])

    row = Campaign.objects.get()
    assert answer.status_code == 302
    assert (row.began_on, row.ended_on) == (DAY, date(2026, 5, 5))
    assert list(row.conveyors.all()) == [belt]


def test_a_campaign_without_a_last_day_lasted_one(planner: Client):
    keep(planner, ended_on="")

    assert Campaign.objects.get().ended_on == DAY


@pytest.mark.parametrize(
    ("fields", "status", "said"),
    [
        ({"name": ""}, 400, "This field is required"),
        ({"began_on": "soon"}, 400, "Enter a valid date"),
        ({"began_on": "1812-01-01"}, 400, "between 1950 and 2199"),
        ({"ended_on": "2026-05-01"}, 409, "ends before it begins"),
        ({"area": "Moon"}, 400, "Moon is not one of the available choices"),
        ({"conveyors": ["999999"]}, 400, "999999 is not one of the available choices"),
        ({"chosen": "by lot"}, 400, "by lot is not one of the available choices"),
        ({"name": "Quay\x00"}, 400, "Null characters"),
    ],
)
def test_what_cannot_be_is_told_by_its_field(
    planner: Client, belt: Conveyor, fields: Any, status: int, said: str
):
    answer = keep(planner, **fields)

    assert answer.status_code == status
    assert said in answer.content.decode()
    assert not Campaign.objects.exists()


def test_an_area_and_single_belts_are_not_both_named(planner: Client, belt: Conveyor):
    answer = keep(planner, area="Quay", conveyors=[belt.pk])

    assert answer.status_code == 409
    assert "not both" in answer.content.decode()


def test_a_second_campaign_of_the_same_name_is_refused(planner: Client, plant: Plant):
    make_campaign(plant, name="return idlers SQUARED")

    assert "has this name" in keep(planner).content.decode()
    assert Campaign.objects.count() == 1


def test_a_belt_of_another_plant_cannot_be_chosen(planner: Client):
    answer = keep(planner, conveyors=[factories.make_conveyor().pk])

    assert answer.status_code == 400


def test_a_campaign_is_changed_unless_somebody_else_did(planner: Client, plant: Plant):
    row = make_campaign(plant)
    address = reverse("campaign-change", args=[row.pk])

    assert planner.post(address, {**FILLED, "version": "1"}).status_code == 302
    stale = planner.post(address, {**FILLED, "name": "Mine", "version": "1"})

    assert stale.status_code == 409
    assert "Somebody changed this" in stale.content.decode()
    row.refresh_from_db()
    assert (row.name, row.version) == ("Return idlers squared", 2)


def test_removing_asks_first(planner: Client, plant: Plant):
    row = make_campaign(plant)
    address = reverse("campaign-remove", args=[row.pk])

    assert "Remove the campaign?" in planner.get(address).content.decode()
    assert Campaign.objects.exists()
    assert planner.post(address).status_code == 302
    assert not Campaign.objects.exists()


@pytest.mark.parametrize("role", [Role.CLERK, Role.TECHNICIAN])
def test_others_look_and_keep_nothing(plant: Plant, role: Role):
    row, client = make_campaign(plant), signed_in(factories.make_person(role, plant))

    assert client.get(reverse("campaign", args=[row.pk])).status_code == 200
    assert "campaign-change" not in client.get(reverse("campaigns")).content.decode()
    assert keep(client).status_code == 403
    assert client.post(reverse("campaign-remove", args=[row.pk])).status_code == 403
    assert Campaign.objects.exists()


def test_the_database_keeps_days_in_order_and_names_apart(plant: Plant):
    row = make_campaign(plant)
    with pytest.raises(IntegrityError), transaction.atomic():
        Campaign.objects.filter(pk=row.pk).update(ended_on=DAY - timedelta(days=1))
    with pytest.raises(IntegrityError), transaction.atomic():
        Campaign.objects.create(
            plant=plant,
            name="QUAY squared",
            began_on=DAY,
            ended_on=DAY,
            kept_at=datetime.now(UTC),
        )


def test_the_list_is_paged_by_plant_and_says_what_to_do_first(
    planner: Client, plant: Plant, django_assert_max_num_queries: Any
):
    assert "Keep the first one" in planner.get(reverse("campaigns")).content.decode()
    for number in range(23):
        make_campaign(plant, name=f"Round {number}")
    make_campaign(factories.make_plant(), name="Elsewhere")

    with django_assert_max_num_queries(16):
        answer = planner.get(reverse("campaigns"))

    assert answer.context["page"].paginator.count == 23
    assert len(answer.context["rows"]) == 20
    assert "Elsewhere" not in answer.content.decode()
