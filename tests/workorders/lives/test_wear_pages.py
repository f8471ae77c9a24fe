"""Pages of wear, limits and renewals."""

from datetime import timedelta
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import Conveyor, Plant
from plant.roles import Role
from tests.plant.condition_rows import START, read
from tests.plant.factories import make_complete_conveyor
from tests.workorders.pages import client_of
from workorders.models import ConditionLimit, Renewal

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    row = make_complete_conveyor(plant, tag="Q30")
    for number, value in enumerate([12.0, 11.2, 10.1]):
        read(row, "Head pulley", value, day=60 * number, spot="middle")
    return row


def at(name: str, conveyor: Conveyor, *more: object) -> str:
    return reverse(name, args=[conveyor.plant.code, conveyor.tag, *more])


def text_of(response: Any) -> str:
    return " ".join(response.content.decode().replace("\N{NO-BREAK SPACE}", " ").split())


def test_the_page_of_a_spot_shows_line_limit_day_and_readings(planner: Client, conveyor: Conveyor):
    last = conveyor.readings.first()
    response = planner.get(at("wear-spot", conveyor, last.pk))

    text = text_of(response)
    assert response.status_code == HTTPStatus.OK
    assert "Head pulley, middle: lagging thickness" in text
    assert "usual figure: engineering judgement" in text
    assert "Counted by the calendar" in text
    assert "<svg" in text
    assert text.count('<td data-of="Used">yes</td>') == 3


def test_the_list_and_the_panels_lead_to_the_spot(planner: Client, conveyor: Conveyor):
    last = conveyor.readings.first()
    spot = at("wear-spot", conveyor, last.pk)
    pulley = conveyor.components.get(name="Head pulley")

    for where in (
        at("wear", conveyor),
        at("conveyor", conveyor),
        at("component", conveyor, pulley.pk),
    ):
        assert spot in text_of(planner.get(where))
    assert at("lives-of-conveyor", conveyor) in text_of(planner.get(at("conveyor", conveyor)))
    other = conveyor.components.get(name="Tail pulley")
    assert spot not in text_of(planner.get(at("component", conveyor, other.pk)))


def test_re_lagging_is_written_down_from_the_page_and_taken_back(
    technician: Client, conveyor: Conveyor
):
    last = conveyor.readings.first()
    day = (START + timedelta(days=100)).date().isoformat()
    where = at("wear-spot-renewed", conveyor, last.pk)

    technician.post(where, {"renewed_on": day, "had_failed": "no", "note": "ceramic"})

    renewal = Renewal.objects.get()
    assert (renewal.had_failed, renewal.spot, str(renewal.renewed_on)) == (False, "", day)
    assert "New since" in text_of(technician.get(at("wear-spot", conveyor, last.pk)))
    technician.post(at("renewal-take-back", conveyor, renewal.pk))
    assert "New since" not in text_of(technician.get(at("wear-spot", conveyor, last.pk)))


def test_a_day_still_to_come_is_refused_at_its_field(technician: Client, conveyor: Conveyor):
    where = at("wear-spot-renewed", conveyor, conveyor.readings.first().pk)
    day = (timezone.now() + timedelta(days=3)).date().isoformat()

    response = technician.post(where, {"renewed_on": day, "had_failed": "yes"})

    assert response.status_code == HTTPStatus.CONFLICT
    assert "renewed_on" in response.context["form"].errors
    assert not Renewal.objects.exists()


def test_a_limit_is_set_for_a_component_and_taken_back(planner: Client, conveyor: Conveyor):
    pulley = conveyor.components.get(name="Head pulley")
    where = reverse("limit-set", args=[conveyor.plant.code])

    planner.post(
        f"{where}?conveyor=Q30",
        {"quantity": "lagging_thickness", "value": "6,5", "component": pulley.pk, "why": "ceramic"},
    )

    row = ConditionLimit.objects.get()
    assert (row.value, row.component) == (6.5, pulley)
    page = reverse("limits", args=[conveyor.plant.code])
    assert "in force" in text_of(planner.get(page))
    planner.post(reverse("limit-take-back", args=[conveyor.plant.code, row.pk]))
    assert "in force" not in text_of(planner.get(page))
    assert "taken back" in text_of(planner.get(page))


@pytest.mark.parametrize(
    ("sent", "field", "status"),
    [
        ({"quantity": "smell", "value": "3"}, "quantity", 400),
        ({"quantity": "lagging_thickness", "value": "thin"}, "value", 400),
        ({"quantity": "lagging_thickness", "value": "-3"}, "value", 409),
        ({"quantity": "noise_grade", "value": "2.5"}, "value", 409),
        ({"quantity": "carry_cover_thickness", "value": "3", "component": "of"}, "component", 409),
    ],
)
def test_a_limit_that_cannot_be_is_refused_at_its_field(
    planner: Client, conveyor: Conveyor, sent: dict[str, Any], field: str, status: int
):
    if sent.get("component"):
        sent = {**sent, "component": conveyor.components.get(name="Head pulley").pk}
    where = reverse("limit-set", args=[conveyor.plant.code])

    response = planner.post(f"{where}?conveyor=Q30", sent)

    assert response.status_code == status
    assert field in response.context["form"].errors
    assert not ConditionLimit.objects.exists()


def test_a_clerk_sees_limits_and_sets_none(plant: Plant, conveyor: Conveyor):
    clerk = client_of(Role.CLERK, plant)

    assert clerk.get(reverse("limits", args=[plant.code])).status_code == HTTPStatus.OK
    assert clerk.get(reverse("limit-set", args=[plant.code])).status_code == HTTPStatus.FORBIDDEN
