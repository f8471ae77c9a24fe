"""The preview of a system's words on real orders, and belts that lack a tag."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import Conveyor, Plant
from plant.roles import Role
from plant.selectors.wordings import CONSTANT, RENAMED
from plant.wording_entries import Entry, Value
from tests.plant import factories as register
from tests.plant.wording.system_rows import give, make_system, spoken_system, tag, words
from tests.workorders import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT")


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return register.make_complete_conveyor(plant, tag="Q30")


@pytest.fixture
def administrator(plant: Plant) -> Client:
    return register.signed_in(register.make_person(Role.ADMINISTRATOR, plants=[plant]))


def preview(client: Client, system: Any, of: str = "work_order") -> Any:
    return client.get(reverse("system-preview", args=[system.pk]), {"of": of})


def test_the_newest_orders_stand_in_both_words_side_by_side(
    plant: Plant, conveyor: Conveyor, administrator: Client
) -> None:
    orders = [factories.make_order_by_hand(conveyor) for _turn in range(6)]
    system = spoken_system(plant, conveyor, is_on=False)
    give(
        system,
        {
            Entry(CONSTANT + "work_order", None, "site"): Value("0815"),
            Entry(RENAMED + "work_order", None, "number"): Value("ref"),
        },
    )

    shown = preview(administrator, system).context["previews"]

    assert [one.title for one in shown] == [order.number for order in reversed(orders[1:])]
    lines = {(line.ours, line.theirs): (line.before, line.after) for line in shown[0].lines}
    assert lines[("state", "state")] == ("proposed", "10-NEW")
    assert lines[("conveyor.tag", "conveyor.tag")] == ("Q30", "LWT/Q30")
    assert lines[("number", "ref")] == (orders[-1].number, orders[-1].number)
    assert lines[("", "site")] == ("", "0815")
    assert ("title", "title") not in lines


def test_what_would_be_held_back_is_said(
    plant: Plant, conveyor: Conveyor, administrator: Client
) -> None:
    factories.make_order_by_hand(conveyor)
    system = make_system(plant, is_strict=True)
    give(system, words("order_state", {"done": "40-FIN"}))

    assert "This would be held back" in preview(administrator, system).content.decode()


def test_without_records_the_preview_says_what_will_be_there(
    plant: Plant, administrator: Client
) -> None:
    system = make_system(plant)

    for kind in ("work_order", "complaint", "case", "no such kind"):
        assert "no record of this kind yet" in preview(administrator, system, kind).content.decode()


def test_orders_of_another_plant_are_not_shown(plant: Plant, administrator: Client) -> None:
    factories.make_order_by_hand()

    assert not preview(administrator, make_system(plant)).context["previews"]


def test_a_belt_with_work_of_the_last_month_and_no_tag_is_a_gap(
    plant: Plant, conveyor: Conveyor, administrator: Client
) -> None:
    factories.make_order_by_hand(conveyor, now=timezone.now())
    system = make_system(plant)
    page = reverse("system", args=[system.pk])

    untagged = administrator.get(page).content.decode()
    give(system, tag(register.make_conveyor(plant, tag="Y12"), "LWT/Y12"))
    begun = administrator.get(page).content.decode()
    give(system, tag(conveyor, "LWT/Q30"))
    complete = administrator.get(page).content.decode()

    # While no belt has a tag, the system speaks our tags.
    assert "Q30 has no tag" not in untagged
    assert "Q30 has no tag" in begun
    assert "Q30 has no tag" not in complete
