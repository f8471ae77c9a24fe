"""The list of campaigns says what each came to, the same as its own page, in few queries."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import Conveyor, ConveyorChange, Plant
from plant.roles import Role
from tests.plant.factories import signed_in
from tests.workorders import factories
from tests.workorders.campaign_rows import make_campaign, make_cases

NOW = datetime(2026, 11, 2, 12, tzinfo=UTC)
BEGAN = date(2026, 1, 12)


@pytest.fixture(autouse=True)
def _clock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: NOW)


@pytest.fixture
def plant(db: None) -> Plant:
    return factories.make_plant(code="LT")


@pytest.fixture
def belts(plant: Plant) -> list[Conveyor]:
    found = [factories.make_conveyor(plant, tag=tag, area="Quay") for tag in ("Q30", "Q31")]
    ConveyorChange.objects.update(pgh_created_at=datetime(2024, 1, 1, tzinfo=UTC))
    return found


@pytest.fixture
def lead(plant: Plant) -> Client:
    return signed_in(factories.make_person(Role.LEAD, plant))


def read(client: Client, name: str, *args: Any) -> str:
    text = client.get(reverse(name, args=args)).content.decode()
    return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())


def test_each_row_says_how_often_cases_came_before_and_after(
    lead: Client, plant: Plant, belts: list[Conveyor]
):
    make_cases(belts[0], datetime(2025, 3, 1, tzinfo=UTC), 12, 20)
    make_cases(belts[0], datetime(2026, 3, 1, tzinfo=UTC), 2, 20)
    # Of another belt, and so of no campaign on the first.
    make_cases(belts[1], datetime(2026, 3, 1, tzinfo=UTC), 5, 10)
    row = make_campaign(plant, belts[0], began_on=BEGAN, ended_on=BEGAN)

    listed, own = read(lead, "campaigns"), read(lead, "campaign", row.pk)

    # 2 cases in 294 days against 12 in 365: (2/294) / (12/365) = 0.207.
    assert "0.207 times as often (" in listed
    assert ": 12 before, 2 after" in listed
    assert "0.207 times as often as before (" in own


def test_of_one_family_and_of_one_that_goes_on(lead: Client, plant: Plant, belts: list[Conveyor]):
    make_cases(belts[0], datetime(2025, 3, 1, tzinfo=UTC), 4, 20, cause_class="loading")
    make_cases(belts[0], datetime(2025, 3, 2, tzinfo=UTC), 3, 20)
    make_campaign(plant, area="Quay", family="loading", began_on=BEGAN, ended_on=BEGAN)
    today = NOW.date()
    make_campaign(plant, name="Goes on", began_on=today, ended_on=today + timedelta(days=2))

    listed = read(lead, "campaigns")

    assert ": 4 before, 0 after" in listed
    assert "no day after it is over" in listed


def test_ten_campaigns_take_no_query_more_than_one(
    lead: Client, plant: Plant, belts: list[Conveyor], django_assert_max_num_queries: Any
):
    make_cases(belts[0], datetime(2025, 3, 1, tzinfo=UTC), 12, 20)
    make_campaign(plant, belts[0], name="The first", began_on=BEGAN, ended_on=BEGAN)
    read(lead, "campaigns")
    with django_assert_max_num_queries(60) as few:
        read(lead, "campaigns")
    for day in range(9):
        on = BEGAN + timedelta(days=day)
        make_campaign(plant, belts[1], name=f"Number {day}", began_on=on, ended_on=on)

    with django_assert_max_num_queries(len(few)):
        read(lead, "campaigns")
