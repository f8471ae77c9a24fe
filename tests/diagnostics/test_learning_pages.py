"""The page of what was learned, and the lead's forms behind it."""

from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.models import BaseRateWeights, Case, SetAside
from diagnostics.selectors import base_rates, shelf
from plant.roles import Role
from tests.diagnostics import factories
from tests.diagnostics.factories import make_person
from tests.diagnostics.test_learning_service import SPLICE, confirmed, without_cause
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db
FIGURES = {"start_cases": "12", "plant_cases": "15", "catalogue_cases": "10", "why": "few cases"}
PAGE, WEIGHTS = "learning", "learning-weights"


@pytest.fixture
def belt(plant):
    return factories.make_conveyor(plant, tag="Q7")


@pytest.fixture
def lead(plant) -> Client:
    return signed_in(make_person(Role.LEAD, plant))


def page_of(client: Client, **asked) -> str:
    response = client.get(reverse(PAGE), asked)
    assert response.status_code == HTTPStatus.OK
    return response.content.decode()


def test_a_plant_without_cases_reads_what_to_do_first(plant, technician):
    text = page_of(technician)

    assert "Nothing is learned yet" in text
    assert "as much as 30 cases of the plant" in text
    assert "Set other figures" not in text


def test_a_person_without_a_plant_is_told_so():
    assert "No plant is assigned" in page_of(signed_in(make_person(Role.LEAD)))


def test_page_shows_shares_counts_and_the_cases_behind_them(belt, technician):
    for _number in range(6):
        confirmed(belt)

    text = page_of(technician)

    # 9.3 classes' weights share the start: (30 / 9.3 + 6) / 36 = 26 %.
    assert "6 confirmed cases of" in text
    assert "26\N{NO-BREAK SPACE}%" in text
    assert shelf.knowledge_of(belt.plant_id).causes[SPLICE].name in text
    assert text.count("Q7") >= 6
    assert "Set aside" not in text


def test_a_conveyor_is_chosen_by_its_tag_and_one_of_another_plant_is_refused(belt, technician):
    confirmed(belt)
    elsewhere = factories.make_conveyor(tag="X1")
    confirmed(elsewhere)

    assert "Accepted on Q7" in page_of(technician, conveyor="Q7")
    refused = technician.get(reverse(PAGE), {"conveyor": "X1"})
    assert refused.status_code == HTTPStatus.BAD_REQUEST
    assert "X1 is not one of the available choices" in refused.content.decode()
    assert technician.get(reverse(PAGE), {"cause": "nonsense"}).status_code == 400


def test_another_plants_page_is_not_there(technician):
    other = factories.make_plant()

    for name in (PAGE, "learning-changes"):
        assert technician.get(reverse(name), {"plant": other.code}).status_code == 404


def test_lead_sets_a_case_aside_and_takes_it_in_again(belt, lead):
    case = confirmed(belt)
    aside, take_in = (
        reverse(f"learning-{name}", args=[case.number]) for name in ("set-aside", "take-in")
    )

    assert lead.post(aside, {"why": ""}).status_code == HTTPStatus.BAD_REQUEST
    assert lead.post(aside, {"why": "wrong belt"}).status_code == HTTPStatus.FOUND
    assert base_rates.plant_counts(belt.plant_id).plant.confirmed == {}
    text = page_of(lead)
    assert "wrong belt" in text
    assert "Let it count again" in text
    assert lead.post(aside, {"why": "again"}).status_code == HTTPStatus.CONFLICT
    assert lead.post(take_in, {"why": "right after all"}).status_code == HTTPStatus.FOUND
    assert base_rates.plant_counts(belt.plant_id).plant.confirmed == {SPLICE: 1}
    told = lead.get(reverse("learning-changes")).content.decode()
    assert "wrong belt" in told
    assert "right after all" in told


def test_page_of_a_case_says_whether_it_counts(belt, lead, technician):
    case, bare = confirmed(belt), factories.make_case(belt)

    def told(client: Client, which: Case) -> str:
        return client.get(reverse("case", args=[which.number])).content.decode()

    assert "Its accepted cause counts" in told(lead, case)
    assert "Set it aside" in told(lead, case)
    assert "Set it aside" not in told(technician, case)
    assert "What this case teaches" not in told(lead, bare)
    lead.post(reverse("learning-set-aside", args=[case.number]), {"why": "wrong belt"})
    assert "teaches nothing" in told(technician, case)
    assert "wrong belt" in told(technician, case)


def test_who_may_not_keep_knowledge_changes_nothing(belt, technician, clerk):
    case = confirmed(belt)

    for client in (technician, clerk):
        for name, args in (("learning-set-aside", [case.number]), (WEIGHTS, [])):
            assert client.get(reverse(name, args=args)).status_code == HTTPStatus.FORBIDDEN
            refused = client.post(reverse(name, args=args), {"why": "x", **FIGURES})
            assert refused.status_code == HTTPStatus.FORBIDDEN
    assert not SetAside.objects.exists()
    assert not BaseRateWeights.objects.exists()


def test_a_lead_of_another_plant_finds_neither_case_nor_figures(belt):
    case, stranger = confirmed(belt), signed_in(make_person(Role.LEAD, factories.make_plant()))

    address = reverse("learning-set-aside", args=[case.number])
    assert stranger.post(address, {"why": "x"}).status_code == HTTPStatus.NOT_FOUND
    address = f"{reverse(WEIGHTS)}?plant={belt.plant.code}"
    assert stranger.post(address, FIGURES).status_code == HTTPStatus.NOT_FOUND
    assert not SetAside.objects.exists()
    assert not BaseRateWeights.objects.exists()


def test_lead_sets_figures_and_the_installed_ones_again(plant, lead):
    made = lead.post(reverse(WEIGHTS), {**FIGURES, "based_on": ""})
    assert made.status_code == HTTPStatus.FOUND
    assert "as much as 12 cases of the plant" in page_of(lead)
    row = BaseRateWeights.objects.get()

    filled = lead.get(reverse(WEIGHTS), {"again": "installed"}).content.decode()
    assert 'name="start_cases" value="30.0"' in filled
    assert f'name="based_on" value="{row.pk}"' in filled
    again = lead.get(reverse(WEIGHTS), {"again": row.pk}).content.decode()
    assert 'name="start_cases" value="12.0"' in again


def test_of_two_leads_the_later_one_sees_the_others_figures(plant, lead):
    lead.post(reverse(WEIGHTS), FIGURES)

    late = lead.post(reverse(WEIGHTS), {**FIGURES, "start_cases": "99", "based_on": ""})

    assert late.status_code == HTTPStatus.CONFLICT
    text = late.content.decode()
    assert "as much as 12 cases of the plant" in text
    # What was typed is kept.
    assert 'value="99"' in text


@pytest.mark.parametrize(
    ("field", "typed"),
    [("start_cases", "0"), ("plant_cases", "nan"), ("catalogue_cases", "1e9"), ("why", " ")],
)
def test_bad_figures_are_named_at_their_field(plant, lead, field, typed):
    refused = lead.post(reverse(WEIGHTS), {**FIGURES, field: typed})

    assert refused.status_code == HTTPStatus.BAD_REQUEST
    assert f'id="id_{field}_error"' in refused.content.decode()
    assert not BaseRateWeights.objects.exists()


@pytest.mark.parametrize("key", ["9" * 5000, "-1", "x", "0"])
def test_figures_that_never_were_are_not_there(plant, lead, key):
    assert lead.get(reverse(WEIGHTS), {"again": key}).status_code == HTTPStatus.NOT_FOUND
    # Said of what a form was based on it is only out of date.
    BaseRateWeights.objects.create(plant=plant, start_cases=5, set_at=factories.NOW, why="")
    late = lead.post(reverse(WEIGHTS), {**FIGURES, "based_on": key})
    assert late.status_code == HTTPStatus.CONFLICT


def test_page_costs_the_same_queries_for_few_and_many_cases(
    belt, lead, django_user_model, django_assert_max_num_queries
):
    by = make_person(Role.LEAD, belt.plant)
    confirmed(belt)
    page_of(lead)
    with django_assert_max_num_queries(40) as few:
        page_of(lead)
    for _number in range(8):
        case = confirmed(belt)
        SetAside.objects.create(case=case, set_at=factories.NOW, set_by=by, why="x")
        without_cause(belt, by, SPLICE)

    with django_assert_max_num_queries(len(few)):
        page_of(lead)
    assert Case.objects.count() == 17
