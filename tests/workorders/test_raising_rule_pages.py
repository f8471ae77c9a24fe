"""The page of a plant's setting, and what case and order say about suggested work."""

import pytest
from django.test import Client
from django.urls import reverse

from plant.models import Plant
from plant.roles import Role
from tests.plant import factories as register
from tests.workorders import factories, suggested
from tests.workorders.pages import address, client_of
from workorders.models import RaisingSetting, WorkOrder
from workorders.services import raising_from_finding

pytestmark = pytest.mark.django_db
TYPED = {"is_on": "on", "percent": "85", "least_urgency": "this_shift", "seen": "0"}


@pytest.fixture
def case(plant: Plant):
    conveyor = register.make_complete_conveyor(plant)
    made = factories.make_case(conveyor)
    factories.make_complaint(made, how_bad="rubbing")
    return made


def of_plant(plant: Plant) -> str:
    return reverse("raising-set", args=[plant.code])


def test_a_lead_switches_it_on_and_everybody_sees_how(plant: Plant, lead: Client) -> None:
    assert "Off: people raise all work" in lead.get(reverse("raising-by-itself")).content.decode()

    assert lead.post(of_plant(plant), TYPED).status_code == 302

    row = RaisingSetting.objects.get()
    assert (row.is_on, row.probability, row.least_urgency) == (True, 0.85, "this_shift")
    assert row.set_by is not None
    clerk = client_of(Role.CLERK, plant).get(reverse("raising-by-itself")).content.decode()
    assert "85\N{NO-BREAK SPACE}%" in clerk
    assert of_plant(plant) not in clerk


@pytest.mark.parametrize("role", [Role.CLERK, Role.TECHNICIAN, Role.PLANNER])
def test_others_cannot_set_it(plant: Plant, role: Role) -> None:
    assert client_of(role, plant).post(of_plant(plant), TYPED).status_code == 403


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"percent": "49"}, "percent"),
        ({"percent": "100"}, "percent"),
        ({"percent": "most"}, "percent"),
        ({"least_urgency": "soon"}, "least_urgency"),
        ({"seen": ""}, "seen"),
    ],
)
def test_what_cannot_be_set_is_said_at_its_field(
    plant: Plant, lead: Client, fields: dict[str, str], field: str
) -> None:
    answer = lead.post(of_plant(plant), {**TYPED, **fields})

    assert answer.status_code == 400
    assert field in answer.context["form"].errors
    assert not RaisingSetting.objects.exists()


def test_whoever_set_it_on_an_old_page_is_told_and_keeps_what_they_typed(
    plant: Plant, lead: Client
) -> None:
    lead.post(of_plant(plant), TYPED)

    answer = lead.post(of_plant(plant), {**TYPED, "percent": "70"})

    assert answer.status_code == 409
    assert b"Somebody set this meanwhile" in answer.content
    assert b'value="70"' in answer.content
    assert RaisingSetting.objects.count() == 1


def test_a_finding_is_raised_from_its_case_once(technician: Client, case) -> None:
    finding = suggested.find(case, place="R3")
    button = reverse("finding-raise-order", args=[finding.pk])
    page = reverse("case", args=[case.number])
    assert button in technician.get(page).content.decode()

    answer = technician.post(button)

    order = WorkOrder.objects.get()
    assert answer.url == address("order", order)
    assert button not in technician.get(page).content.decode()
    shown = technician.get(answer.url).content.decode()
    assert "Raised for" in shown
    assert "Nobody has accepted it" in shown

    again = technician.post(button, follow=True)
    assert order.number in again.content.decode()
    assert WorkOrder.objects.count() == 1


def test_a_finding_that_was_taken_back_is_said_on_its_order(technician: Client, case) -> None:
    finding = suggested.find(case, place="R3")
    order = raising_from_finding.raise_from_finding(
        finding_id=finding.pk, by=None, now=factories.NOW
    )
    finding.taken_back_at = factories.NOW
    finding.save()

    assert "taken back since" in technician.get(address("order", order)).content.decode()


def test_a_clerk_raises_nothing_from_a_finding(plant: Plant, case) -> None:
    finding = suggested.find(case)
    button = reverse("finding-raise-order", args=[finding.pk])

    assert client_of(Role.CLERK, plant).post(button).status_code == 403


def test_an_order_by_rule_says_what_it_was_raised_at_and_what_stands_now(
    plant: Plant, planner: Client, case
) -> None:
    suggested.switch_on(plant)
    suggested.diagnose(case, 0.93)
    order = WorkOrder.objects.get()
    sure = planner.get(address("order", order)).content.decode()
    assert "raised at 93" in sure
    assert "gives it 93" in sure

    suggested.diagnose(case, 0.41)

    shown = planner.get(address("order", order)).content.decode()
    assert "gives it 41" in shown
    assert "less than this plant asks for" in shown
    assert "a new diagnosis gives it only 41 %" in shown
    listed = planner.get(reverse("raising-by-itself")).content.decode()
    assert "1 order was raised so far" in listed
